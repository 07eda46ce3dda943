-- Leases queues of one bucket and reads their heads. A queue that another
-- worker took meanwhile, or that has become empty, is left out. A head whose
-- last lease ran out is unsure: it may have been sent. Called twice with one
-- token it returns the same.
--
-- KEYS  1 ready; then for each queue: out of its trip
-- ARGV  1 token  2 now (ms)  3 end of the lease (ms); then for each queue: queue, address
-- Returns queue, lease token, '1' when unsure, attempts, envelope, ...

local ready, token, now, ends = KEYS[1], ARGV[1], tonumber(ARGV[2]), ARGV[3]
local taken = {}

local function is_ready(score)
  return score and score < LEVELS * 1e14 and score % 1e14 <= now
end

-- Writes the lease and one attempt more into the record. Returns what follows the
-- head's level there.
local function lease(out, queue, address, record, score)
  local before, head, rest = string.match(record, '^(%S+) (%d+:%d)(.*)$')
  local attempts, unsure, others = string.match(rest, '^/(%d+)(u?)(.*)$')
  if before ~= '-' and string.sub(before, 1, 1) ~= '=' then unsure = 'u' end
  rest = string.format('/%d', (attempts or 0) + 1) .. (unsure or '') .. (others or rest)
  redis.call('HSET', out, address, token .. ' ' .. head .. rest)
  redis.call('ZADD', ready, string.format('%.0f', (math.floor(score / 1e14) + LEVELS) * 1e14 + ends), queue)
  return rest
end

local function add(queue, head, rest, body)
  taken[#taken + 1] = queue
  taken[#taken + 1] = token .. ' ' .. head
  taken[#taken + 1] = string.match(rest, '^/%d+u') and '1' or '0'
  taken[#taken + 1] = string.match(rest, '^/(%d+)')
  taken[#taken + 1] = body
end

local function take(out, queue, address)
  local record = redis.call('HGET', out, address) or ''
  local holder, head, rest = string.match(record, '^(%S+) (%d+):%d(.*)$')
  local body = head and redis.call('HGET', out, head)
  if holder == token then
    if body then add(queue, head, rest, body) end
    return
  end
  local score = tonumber(redis.call('ZSCORE', ready, queue) or nil)
  if not is_ready(score) then return end
  if body then
    add(queue, head, lease(out, queue, address, record, score), body)
  else -- dropped, or its trip has expired
    redis.call('ZREM', ready, queue)
    redis.call('HDEL', out, address)
  end
end

for i = 2, #KEYS do take(KEYS[i], ARGV[2 * i], ARGV[2 * i + 1]) end
return taken
