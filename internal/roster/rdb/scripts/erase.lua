-- Erases a trip whose expiry has passed, or at once, with everything about it. Of
-- one that expired Redis has removed the trip's own keys by itself; this clears the
-- bucket's indexes.
--
-- KEYS  1 due  2 expiry  3 shop  4 ready  5 news  6 teller; from 7 on the trip's keys,
--       the trip itself first
-- ARGV  1 now (ms)  2 trip id  3 expiry member  4 'now' to erase it at once, or '';
--       then the trip's queues
-- Returns 1, or 0 when the trip does not expire yet. By the server's clock, too:
--       a bot whose clock is wrong by a year must not erase what is to come.

if ARGV[4] ~= 'now' then
  local expiry = redis.call('ZSCORE', KEYS[2], ARGV[3])
  if not expiry or tonumber(expiry) > tonumber(ARGV[1]) then return 0 end
  if redis.call('PTTL', KEYS[7]) > 0 then return 0 end
end

for i = 7, #KEYS do redis.call('DEL', KEYS[i]) end
redis.call('ZREM', KEYS[1], ARGV[2])
redis.call('ZREM', KEYS[3], ARGV[2])
for i = 5, #ARGV do redis.call('ZREM', KEYS[4], ARGV[i]) end
redis.call('ZREM', KEYS[5], ARGV[3])
redis.call('HDEL', KEYS[6], ARGV[3])
redis.call('ZREM', KEYS[2], ARGV[3])
return 1
