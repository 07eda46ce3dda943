-- Erases a person's chat page.
--
-- KEYS  1 chat  2 chatid
-- ARGV  1 person
-- Returns 1.

redis.call('ZREMRANGEBYLEX', KEYS[1], '[' .. ARGV[1] .. '\0', '(' .. ARGV[1] .. '\1')
for _, field in ipairs(redis.call('HKEYS', KEYS[2])) do
  if string.sub(field, 1, #ARGV[1] + 1) == ARGV[1] .. '\0' then redis.call('HDEL', KEYS[2], field) end
end
return 1
