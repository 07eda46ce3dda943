-- Stores a shop, with its key in place of an earlier one.
--
-- KEYS  1 shops  2 keys
-- ARGV  1 id  2 shop (JSON)  3 name  4 key hash
--       5 key hash that it must have until now, or ''
-- Returns 'ok'; 'conflict' when another shop has that name or key, or this one
--       another key.

local owner = redis.call('HGET', KEYS[2], ARGV[4])
if owner and owner ~= ARGV[1] then return 'conflict' end
if ARGV[5] ~= '' and redis.call('HGET', KEYS[2], ARGV[5]) ~= ARGV[1] then return 'conflict' end
local all = redis.call('HGETALL', KEYS[1])
for i = 1, #all, 2 do
  if all[i] ~= ARGV[1] and cjson.decode(all[i + 1]).name == ARGV[3] then return 'conflict' end
end

local keys = redis.call('HGETALL', KEYS[2])
for i = 1, #keys, 2 do
  if keys[i + 1] == ARGV[1] then redis.call('HDEL', KEYS[2], keys[i]) end
end
redis.call('HSET', KEYS[1], ARGV[1], ARGV[2])
redis.call('HSET', KEYS[2], ARGV[4], ARGV[1])
return 'ok'
