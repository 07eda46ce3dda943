-- Leases queues of one bucket and reads their heads. A queue that another
-- worker took meanwhile, or that has become empty, is left out. A head whose
-- last lease ran out is unsure: it may have been sent. Called twice with one
-- token it returns the same.
--
-- KEYS  1 ready; then for each queue: out of its trip
-- ARGV  1 token  2 now (ms)  3 end of the lease (ms); then for each queue: queue, address
-- Returns queue, lease token, '1' when unsure, attempts, envelope, ...

local taken = {}
for i = 2, #KEYS do
  local out, queue, address = KEYS[i], ARGV[2 * i], ARGV[2 * i + 1]
  local record = redis.call('HGET', out, address) or ''
  local lease, head, level, rest = string.match(record, '^(%S+) (%d+):(%d)(.*)$')
  local body = head and redis.call('HGET', out, head)
  local score = tonumber(redis.call('ZSCORE', KEYS[1], queue) or nil)
  local ready = score and score < LEVELS * 1e14 and score % 1e14 <= tonumber(ARGV[2])
  if lease == ARGV[1] then
    ready = false
  elseif not ready then
    body = nil
  elseif not body then -- dropped, or its trip has expired
    redis.call('ZREM', KEYS[1], queue)
    redis.call('HDEL', out, address)
  end
  if ready and body then
    local before, unsure, others = string.match(rest, '^/(%d+)(u?)(.*)$')
    if lease ~= '-' and string.sub(lease, 1, 1) ~= '=' then unsure = 'u' end
    rest = string.format('/%d', (before or 0) + 1) .. (unsure or '') .. (others or rest)
    redis.call('HSET', out, address, ARGV[1] .. ' ' .. head .. ':' .. level .. rest)
    redis.call('ZADD', KEYS[1], string.format('%.0f', (math.floor(score / 1e14) + LEVELS) * 1e14 + ARGV[3]), queue)
  end
  if body then
    taken[#taken + 1] = queue
    taken[#taken + 1] = ARGV[1] .. ' ' .. head
    taken[#taken + 1] = string.match(rest, '^/%d+u') and '1' or '0'
    taken[#taken + 1] = string.match(rest, '^/(%d+)')
    taken[#taken + 1] = body
  end
end
return taken
