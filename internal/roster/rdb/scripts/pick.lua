-- Finds the queues of a bucket that are ready. Leases that ran out make their
-- queue ready again. A lease or a wait that ends later than any can was given
-- before the clock was set back: the lease is as long as it can be from now on,
-- the wait is over.
--
-- KEYS  1 ready
-- ARGV  1 now (ms)  2 how many at most of each level
--       3 latest end of a lease given now (ms)  4 latest end of a wait (ms)
-- Returns queue, level, when, ... : the earliest of each level, most urgent first

local ready, now, most, latest, latest_wait = KEYS[1], tonumber(ARGV[1]), ARGV[2], tonumber(ARGV[3]), ARGV[4]
local function score(band, when) return string.format('%.0f', band * 1e14 + when) end

local function end_leases()
  local leased = redis.call('ZRANGEBYSCORE', ready, score(LEVELS, 0), '+inf', 'WITHSCORES')
  for i = 1, #leased, 2 do
    local band, ends = math.floor(leased[i + 1] / 1e14), leased[i + 1] % 1e14
    if ends <= now then
      redis.call('ZADD', ready, score(band - LEVELS, 0), leased[i])
    elseif ends > latest then
      redis.call('ZADD', ready, score(band, latest), leased[i])
    end
  end
end

local function end_waits(level)
  local beyond, next_level = '(' .. score(level, latest_wait), '(' .. score(level + 1, 0)
  for _, queue in ipairs(redis.call('ZRANGEBYSCORE', ready, beyond, next_level, 'LIMIT', 0, 200)) do
    redis.call('ZADD', ready, score(level, now), queue)
  end
end

local found = {}
local function find(level)
  local r = redis.call('ZRANGEBYSCORE', ready, score(level, 0), score(level, now), 'WITHSCORES', 'LIMIT', 0, most)
  for i = 1, #r, 2 do
    found[#found + 1] = r[i]
    found[#found + 1] = tostring(level)
    found[#found + 1] = string.format('%.0f', r[i + 1] % 1e14)
  end
end

if redis.call('ZCARD', ready) == 0 then return {} end
end_leases()
for level = 0, LEVELS - 1 do
  end_waits(level)
  find(level)
end
return found
