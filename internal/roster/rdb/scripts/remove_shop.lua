-- Removes a shop, and the key that opens it.
--
-- KEYS  1 shops  2 keys
-- ARGV  1 id
-- Returns 1; 0 when there is none.

local keys = redis.call('HGETALL', KEYS[2])
for i = 1, #keys, 2 do
  if keys[i + 1] == ARGV[1] then redis.call('HDEL', KEYS[2], keys[i]) end
end
return redis.call('HDEL', KEYS[1], ARGV[1])
