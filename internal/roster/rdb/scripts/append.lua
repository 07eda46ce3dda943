-- Appends an entry to a person's chat page, once. The page expires with its trip.
--
-- KEYS  1 trip  2 chat  3 chatid
-- ARGV  1 person  2 entry id  3 entry (JSON)
-- Returns 1 when appended, 0 when it was there before, -1 when there is no such trip.

local ttl = redis.call('PTTL', KEYS[1])
if ttl == -2 then return -1 end
local field = ARGV[1] .. '\0' .. ARGV[2]
if redis.call('HEXISTS', KEYS[3], field) == 1 then return 0 end
local number = string.format('%016d', redis.call('HINCRBY', KEYS[3], '', 1))
redis.call('HSET', KEYS[3], field, number)
redis.call('ZADD', KEYS[2], 0, ARGV[1] .. '\0' .. number .. ARGV[3])
if ttl > 0 then
  redis.call('PEXPIRE', KEYS[2], string.format('%.0f', ttl))
  redis.call('PEXPIRE', KEYS[3], string.format('%.0f', ttl))
end
return 1
