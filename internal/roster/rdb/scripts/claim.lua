-- Binds a message to a trip; the first binding stays.
--
-- KEYS  1 claims
-- ARGV  1 now (ms)  2 source  3 trip
-- Returns the trip it is bound to.

local bound = redis.call('HGET', KEYS[1], ARGV[2])
local since, trip = string.match(bound or '', '^(%d+) (.*)$')
if since and tonumber(since) > tonumber(ARGV[1]) - 172800000 then return trip end

if redis.call('HLEN', KEYS[1]) >= 256 then
  local all = redis.call('HGETALL', KEYS[1])
  for i = 1, #all, 2 do
    if tonumber(string.match(all[i + 1], '^(%d+)')) <= tonumber(ARGV[1]) - 172800000 then
      redis.call('HDEL', KEYS[1], all[i])
    end
  end
end
redis.call('HSET', KEYS[1], ARGV[2], ARGV[1] .. ' ' .. ARGV[3])
redis.call('PEXPIRE', KEYS[1], 172800000)
return ARGV[3]
