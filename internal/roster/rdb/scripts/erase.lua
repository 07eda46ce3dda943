-- Erases a trip whose expiry has passed, with everything about it. Redis has
-- expired the trip's own keys by itself; this clears the bucket's indexes.
--
-- KEYS  1..13 the trip's keys, as in commit.lua
--       14 due  15 expiry  16 shop  17 lease  18 owner  19 level  20 backlog
--       21 unsure  22 23 24 ready 0 1 2  25 news  26 teller
-- ARGV  1 now (ms)  2 trip id  3 expiry member; then the trip's queues
-- Returns 1, or 0 when the trip does not expire yet. By the server's clock, too:
--       a bot whose clock is wrong by a year must not erase what is to come.

local expiry = redis.call('ZSCORE', KEYS[15], ARGV[3])
if not expiry or tonumber(expiry) > tonumber(ARGV[1]) then return 0 end
if redis.call('PTTL', KEYS[1]) > 0 then return 0 end

for i = 1, 13 do redis.call('DEL', KEYS[i]) end
redis.call('ZREM', KEYS[14], ARGV[2])
redis.call('ZREM', KEYS[16], ARGV[2])
for i = 4, #ARGV do
  for _, k in ipairs({17, 22, 23, 24}) do redis.call('ZREM', KEYS[k], ARGV[i]) end
  for k = 18, 21 do redis.call('HDEL', KEYS[k], ARGV[i]) end
end
redis.call('ZREM', KEYS[25], ARGV[3])
redis.call('HDEL', KEYS[26], ARGV[3])
redis.call('ZREM', KEYS[15], ARGV[3])
return 1
