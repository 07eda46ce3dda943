-- Takes one slot of each of some strict sliding windows, or of none, in the order of
-- need: who was told to wait is before everybody with something less needed, in
-- whatever process, for as long as they may still ask again. A slot that is not
-- released (the process died) becomes free by itself, a minute after the period. What
-- ends later than it can was written before the clock was set back.
--
-- KEYS  for each window: 1 slots  2 pause  3 wanted
-- ARGV  1 now (ms)  2 slot  3 level  4 process; then for each window: limit, period (ms)
-- Returns 0, or how long to wait (ms); and for which window, from 1.

local now, slot, level, process = tonumber(ARGV[1]), ARGV[2], tonumber(ARGV[3]), ARGV[4]

-- How long a wait may be over before who waited has asked again: a timer and a
-- round trip.
local grace = 50

local function window(i)
  local period = tonumber(ARGV[2 * i + 4])
  return {
    slots = KEYS[3 * i - 2], pause = KEYS[3 * i - 1], wanted = KEYS[3 * i],
    limit = tonumber(ARGV[2 * i + 3]), period = period,
    longest = period + 60000, -- a slot that nobody releases
  }
end

-- How long everybody has still to wait, since the other side said so.
local function paused(w)
  local ends, set = string.match(redis.call('GET', w.pause) or '', '^(%d+) (%d+)$')
  if not ends then return 0 end
  local left, all = tonumber(ends) - now, tonumber(ends) - tonumber(set)
  if left > all then
    left = all
    redis.call('SET', w.pause, string.format('%.0f %.0f', now + left, now), 'KEEPTTL')
  end
  return left
end

-- How long what is more needed than this may still ask again, in another process.
local function needed_more(w)
  local all = redis.call('HGETALL', w.wanted)
  for i = 1, #all, 2 do
    local its, ends = string.match(all[i + 1], '^(%d+) (%d+)$')
    local left = tonumber(ends) - now
    if left <= 0 or left > w.period + grace then
      redis.call('HDEL', w.wanted, all[i])
    elseif all[i] ~= process and tonumber(its) < level then
      return left
    end
  end
  return 0
end

-- Slots whose time is over go; one that ends later than it can ends a period from now.
local function expire_slots(w)
  redis.call('ZREMRANGEBYSCORE', w.slots, '-inf', ARGV[1])
  for _, its in ipairs(redis.call('ZRANGEBYSCORE', w.slots, string.format('(%.0f', now + w.longest), '+inf')) do
    redis.call('ZADD', w.slots, string.format('%.0f', now + w.period), its)
  end
end

local function occupy(w)
  redis.call('ZADD', w.slots, string.format('%.0f', now + w.longest), slot)
  redis.call('PEXPIRE', w.slots, string.format('%.0f', w.longest))
  redis.call('HDEL', w.wanted, process)
end

-- How long until the next slot is free, noted down for those who are less needed.
local function wait(w)
  local free = tonumber(redis.call('ZRANGE', w.slots, 0, 0, 'WITHSCORES')[2])
  local left = math.max(1, math.ceil(w.period / w.limit)) -- all are being sent just now
  if free <= now + w.period then left = math.max(1, free - now) end
  if level < LEVELS - 1 then
    redis.call('HSET', w.wanted, process, string.format('%d %.0f', level, now + left + grace))
    redis.call('PEXPIRE', w.wanted, string.format('%.0f', w.period + grace))
  end
  return left
end

-- How long to wait for a slot; 0 when there is one, or it is ours already.
local function refuse(w)
  local left = paused(w)
  if left > 0 then return left end
  if redis.call('ZSCORE', w.slots, slot) then return 0 end
  expire_slots(w)
  if redis.call('ZCARD', w.slots) >= w.limit then return wait(w) end
  return needed_more(w)
end

local windows = {}
for i = 1, #KEYS / 3 do windows[i] = window(i) end
for i, w in ipairs(windows) do
  local left = refuse(w)
  if left > 0 then return {left, i} end
end
for _, w in ipairs(windows) do
  if not redis.call('ZSCORE', w.slots, slot) then occupy(w) end
end
return {0, 0}
