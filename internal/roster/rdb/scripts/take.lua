-- Leases queues of one bucket and reads their heads. A queue that another
-- worker took meanwhile, or that has become empty, is left out. Called twice
-- with one token it returns the same.
--
-- KEYS  1 lease  2 owner  3 level  4 unsure  5 backlog  6 7 8 ready 0 1 2;
--       then for each queue: fifo, body of its trip
-- ARGV  1 token  2 now (ms)  3 end of the lease (ms); then for each queue: queue, address
-- Returns queue, lease token, body, ...

local taken = {}
for i = 1, (#ARGV - 3) / 2 do
  local queue, address = ARGV[2 + 2 * i], ARGV[3 + 2 * i]
  local fifo, bodies = KEYS[7 + 2 * i], KEYS[8 + 2 * i]
  local owner = redis.call('HGET', KEYS[2], queue)
  local head, body
  if owner then
    local token, number = string.match(owner, '^(.*) (%d+)$')
    if token == ARGV[1] then
      head, body = number, redis.call('HGET', bodies, number)
    end
  else
    local level = redis.call('HGET', KEYS[3], queue)
    local ready = level and KEYS[6 + tonumber(level)]
    local score = ready and redis.call('ZSCORE', ready, queue)
    if score and tonumber(score) <= tonumber(ARGV[2]) then
      local first = redis.call('ZRANGEBYLEX', fifo, '[' .. address .. '\0', '(' .. address .. '\1', 'LIMIT', 0, 1)[1]
      head = first and string.sub(first, -16)
      body = head and redis.call('HGET', bodies, head)
      redis.call('ZREM', ready, queue)
      if body then
        local unsure, attempts, rest = string.match(body, '^(%d) (%d+) (.*)$')
        if redis.call('HGET', KEYS[4], queue) == head then unsure = '1' end
        body = unsure .. ' ' .. string.format('%d', attempts + 1) .. ' ' .. rest
        redis.call('HSET', bodies, head, body)
        redis.call('ZADD', KEYS[1], ARGV[3], queue)
        redis.call('HSET', KEYS[2], queue, ARGV[1] .. ' ' .. head)
      else -- its trip has expired
        redis.call('HDEL', KEYS[3], queue)
        redis.call('HDEL', KEYS[5], queue)
      end
      redis.call('HDEL', KEYS[4], queue)
    end
  end
  if body then
    taken[#taken + 1] = queue
    taken[#taken + 1] = ARGV[1] .. ' ' .. head
    taken[#taken + 1] = body
  end
end
return taken
