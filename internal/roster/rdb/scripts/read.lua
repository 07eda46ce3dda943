-- Reads a person's chat page after an entry; all of it when that is unknown.
--
-- KEYS  1 chat  2 chatid
-- ARGV  1 person  2 entry id or ''
-- Returns entries (JSON), oldest first.

local from = '[' .. ARGV[1] .. '\0'
local number = ARGV[2] ~= '' and redis.call('HGET', KEYS[2], ARGV[1] .. '\0' .. ARGV[2])
if number then from = '(' .. ARGV[1] .. '\0' .. number .. '\255' end
local entries = redis.call('ZRANGEBYLEX', KEYS[1], from, '(' .. ARGV[1] .. '\1')
for i, e in ipairs(entries) do entries[i] = string.sub(e, #ARGV[1] + 18) end
return entries
