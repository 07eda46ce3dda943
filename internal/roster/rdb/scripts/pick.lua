-- Finds the queues of a bucket that are ready. Leases that ran out make their
-- queue ready again, and its head unsure: it may have been sent. A lease or a
-- wait that ends later than any can was given before the clock was set back: the
-- lease is as long as it can be from now on, the wait is over.
--
-- KEYS  1 lease  2 owner  3 level  4 unsure  5 6 7 ready 0 1 2
-- ARGV  1 now (ms)  2 how many at most of each level
--       3 latest end of a lease given now (ms)  4 latest end of a wait (ms)
-- Returns queue, level, score, ... : the earliest of each level, most urgent first

local function bring(key, latest, to)
  for _, queue in ipairs(redis.call('ZRANGEBYSCORE', key, '(' .. latest, '+inf', 'LIMIT', 0, 200)) do
    redis.call('ZADD', key, to, queue)
  end
end
bring(KEYS[1], ARGV[3], ARGV[3])
for level = 0, 2 do bring(KEYS[5 + level], ARGV[4], ARGV[1]) end

for _, queue in ipairs(redis.call('ZRANGEBYSCORE', KEYS[1], '-inf', ARGV[1], 'LIMIT', 0, 200)) do
  local head = string.match(redis.call('HGET', KEYS[2], queue) or '', ' (%d+)$')
  local level = redis.call('HGET', KEYS[3], queue)
  redis.call('ZREM', KEYS[1], queue)
  redis.call('HDEL', KEYS[2], queue)
  if head and level then
    redis.call('HSET', KEYS[4], queue, head)
    redis.call('ZADD', KEYS[5 + tonumber(level)], head, queue)
  end
end

local found = {}
for level = 0, 2 do
  local r = redis.call('ZRANGEBYSCORE', KEYS[5 + level], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[2])
  for i = 1, #r, 2 do
    found[#found + 1] = r[i]
    found[#found + 1] = tostring(level)
    found[#found + 1] = r[i + 1]
  end
end
return found
