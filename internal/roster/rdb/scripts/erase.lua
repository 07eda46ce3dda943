-- Erases a trip whose expiry has passed, with everything about it. Redis has
-- expired the trip's own keys by itself; this clears the bucket's indexes.
--
-- KEYS  1..12 the trip's keys, as in commit.lua
--       13 due  14 expiry  15 shop  16 lease  17 owner  18 level  19 backlog
--       20 unsure  21 22 23 ready 0 1 2
-- ARGV  1 now (ms)  2 trip id  3 expiry member; then the trip's queues
-- Returns 1, or 0 when the trip does not expire yet.

local expiry = redis.call('ZSCORE', KEYS[14], ARGV[3])
if not expiry or tonumber(expiry) > tonumber(ARGV[1]) then return 0 end

for i = 1, 12 do redis.call('DEL', KEYS[i]) end
redis.call('ZREM', KEYS[13], ARGV[2])
redis.call('ZREM', KEYS[15], ARGV[2])
for i = 4, #ARGV do
  for _, k in ipairs({16, 21, 22, 23}) do redis.call('ZREM', KEYS[k], ARGV[i]) end
  for k = 17, 20 do redis.call('HDEL', KEYS[k], ARGV[i]) end
end
redis.call('ZREM', KEYS[14], ARGV[3])
return 1
