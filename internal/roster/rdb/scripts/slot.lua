-- Takes one slot of a strict sliding window, in the order of need: who was told to
-- wait is before everybody with something less needed, in whatever process, for as
-- long as they may still ask again. A slot that is not released (the process died)
-- becomes free by itself, a minute after the period. What ends later than it can
-- was written before the clock was set back.
--
-- KEYS  1 slots  2 pause  3 wanted
-- ARGV  1 now (ms)  2 limit  3 period (ms)  4 slot  5 level  6 process
-- Returns 0, or how long to wait (ms).

local slots, pause, waiters, slot, process = KEYS[1], KEYS[2], KEYS[3], ARGV[4], ARGV[6]
local now, limit, period, level = tonumber(ARGV[1]), tonumber(ARGV[2]), tonumber(ARGV[3]), tonumber(ARGV[5])
local longest = period + 60000 -- a slot that nobody releases

-- How long a wait may be over before who waited has asked again: a timer and a
-- round trip.
local grace = 50

-- How long everybody has still to wait, since the other side said so.
local function paused()
  local ends, set = string.match(redis.call('GET', pause) or '', '^(%d+) (%d+)$')
  if not ends then return 0 end
  local left, all = tonumber(ends) - now, tonumber(ends) - tonumber(set)
  if left > all then
    left = all
    redis.call('SET', pause, string.format('%.0f %.0f', now + left, now), 'KEEPTTL')
  end
  return left
end

-- How long what is more needed than this may still ask again, in another process.
local function wanted()
  local all = redis.call('HGETALL', waiters)
  for i = 1, #all, 2 do
    local its, ends = string.match(all[i + 1], '^(%d+) (%d+)$')
    local left = tonumber(ends) - now
    if left <= 0 or left > period + grace then
      redis.call('HDEL', waiters, all[i])
    elseif all[i] ~= process and tonumber(its) < level then
      return left
    end
  end
end

-- Slots whose time is over go; one that ends later than it can ends a period from now.
local function expire_slots()
  redis.call('ZREMRANGEBYSCORE', slots, '-inf', ARGV[1])
  for _, its in ipairs(redis.call('ZRANGEBYSCORE', slots, string.format('(%.0f', now + longest), '+inf')) do
    redis.call('ZADD', slots, string.format('%.0f', now + period), its)
  end
end

local function occupy()
  redis.call('ZADD', slots, string.format('%.0f', now + longest), slot)
  redis.call('PEXPIRE', slots, string.format('%.0f', longest))
  redis.call('HDEL', waiters, process)
end

-- How long until the next slot is free, noted down for those who are less needed.
local function wait()
  local free = tonumber(redis.call('ZRANGE', slots, 0, 0, 'WITHSCORES')[2])
  local left = math.max(1, math.ceil(period / limit)) -- all are being sent just now
  if free <= now + period then left = math.max(1, free - now) end
  if level < LEVELS - 1 then
    redis.call('HSET', waiters, process, string.format('%d %.0f', level, now + left + grace))
    redis.call('PEXPIRE', waiters, string.format('%.0f', period + grace))
  end
  return left
end

local left = paused()
if left > 0 then return left end
if redis.call('ZSCORE', slots, slot) then return 0 end
expire_slots()
if redis.call('ZCARD', slots) >= limit then return wait() end
left = wanted()
if left then return left end
occupy()
return 0
