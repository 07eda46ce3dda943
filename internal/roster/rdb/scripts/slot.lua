-- Takes one slot of a strict sliding window, in the order of need: who was told to
-- wait is before everybody with something less needed, in whatever process, for as
-- long as they may still ask again. A slot that is not released (the process died)
-- becomes free by itself, a minute after the period. What ends later than it can
-- was written before the clock was set back.
--
-- KEYS  1 slots  2 pause  3 wanted
-- ARGV  1 now (ms)  2 limit  3 period (ms)  4 slot  5 level  6 process
-- Returns 0, or how long to wait (ms).

local now, limit, period, level = tonumber(ARGV[1]), tonumber(ARGV[2]), tonumber(ARGV[3]), tonumber(ARGV[5])
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

-- How long a wait may be over before who waited has asked again: a timer and a
-- round trip.
local grace = 50
local function wanted()
  local all = redis.call('HGETALL', KEYS[3])
  for i = 1, #all, 2 do
    local its, ends = string.match(all[i + 1], '^(%d+) (%d+)$')
    local left = tonumber(ends) - now
    if left <= 0 or left > period + grace then
      redis.call('HDEL', KEYS[3], all[i])
    elseif all[i] ~= ARGV[6] and tonumber(its) < level then
      return left
    end
  end
end

redis.call('ZREMRANGEBYSCORE', KEYS[1], '-inf', ARGV[1])
for _, slot in ipairs(redis.call('ZRANGEBYSCORE', KEYS[1], string.format('(%.0f', now + period + 60000), '+inf')) do
  redis.call('ZADD', KEYS[1], string.format('%.0f', now + period), slot)
end
if redis.call('ZCARD', KEYS[1]) < limit then
  local left = wanted()
  if left then return left end
  redis.call('ZADD', KEYS[1], string.format('%.0f', now + period + 60000), ARGV[4])
  redis.call('PEXPIRE', KEYS[1], string.format('%.0f', period + 60000))
  redis.call('HDEL', KEYS[3], ARGV[6])
  return 0
end
local free = tonumber(redis.call('ZRANGE', KEYS[1], 0, 0, 'WITHSCORES')[2])
local wait = math.max(1, math.ceil(period / limit)) -- all are being sent just now
if free <= now + period then wait = math.max(1, free - now) end
if level < LEVELS - 1 then
  redis.call('HSET', KEYS[3], ARGV[6], string.format('%d %.0f', level, now + wait + grace))
  redis.call('PEXPIRE', KEYS[3], string.format('%.0f', period + grace))
end
return wait
