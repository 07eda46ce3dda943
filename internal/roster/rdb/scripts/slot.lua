-- Takes one slot of a strict sliding window. A slot that is not released (the
-- process died) becomes free by itself, a minute after the period. What ends
-- later than it can was taken before the clock was set back.
--
-- KEYS  1 slots  2 pause
-- ARGV  1 now (ms)  2 limit  3 period (ms)  4 slot
-- Returns 0, or how long to wait (ms).

local now, limit, period = tonumber(ARGV[1]), tonumber(ARGV[2]), tonumber(ARGV[3])
local until_, set = string.match(redis.call('GET', KEYS[2]) or '', '^(%d+) (%d+)$')
if until_ then
  local left, all = tonumber(until_) - now, tonumber(until_) - tonumber(set)
  if left > all then
    left = all
    redis.call('SET', KEYS[2], string.format('%.0f %.0f', now + left, now), 'KEEPTTL')
  end
  if left > 0 then return left end
end
if redis.call('ZSCORE', KEYS[1], ARGV[4]) then return 0 end
redis.call('ZREMRANGEBYSCORE', KEYS[1], '-inf', ARGV[1])
for _, slot in ipairs(redis.call('ZRANGEBYSCORE', KEYS[1], string.format('(%.0f', now + period + 60000), '+inf')) do
  redis.call('ZADD', KEYS[1], string.format('%.0f', now + period), slot)
end
if redis.call('ZCARD', KEYS[1]) < limit then
  redis.call('ZADD', KEYS[1], string.format('%.0f', now + period + 60000), ARGV[4])
  redis.call('PEXPIRE', KEYS[1], string.format('%.0f', period + 60000))
  return 0
end
local free = tonumber(redis.call('ZRANGE', KEYS[1], 0, 0, 'WITHSCORES')[2])
if free <= now + period then return math.max(1, free - now) end
return math.max(1, math.ceil(period / limit)) -- all are being sent just now
