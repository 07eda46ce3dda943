-- Ends a lease: the head was sent, is put back, or is dead. The rest of the
-- queue becomes ready. What is more urgent than a head that is put back passes it.
--
-- KEYS  1 trip  2 out  3 dead  4 ready
-- ARGV  1 'sent', 'later' or 'dead'  2 lease token  3 queue  4 address  5 now (ms)
--       6 later: ready from (ms); dead: dead letter (JSON)
--       7 later: '1' when an attempt may have arrived, '0'  8 later: attempts made
-- Returns 'ok', also when it was done before with this token and for a message
--       that waits no more; 'conflict' when the lease is another's by now.

local out, ready, how, queue, address = KEYS[2], KEYS[4], ARGV[1], ARGV[3], ARGV[4]
local token, number = string.match(ARGV[2], '^(.*) (%d+)$')
local record = redis.call('HGET', out, address) or ''
local lease, waiting = string.match(record, '^(%S*)(.*)$')
local body = redis.call('HGET', out, number)

-- The answer to somebody who has no lease, or none any more.
local function late()
  if not body or how == 'later' and lease == '=' .. token then return 'ok' end
  return 'conflict'
end

-- The head stays, with what is known of its attempts.
local function put_back()
  local attempts = '/' .. ARGV[8] .. (ARGV[7] == '1' and 'u' or '')
  waiting = string.gsub(waiting, '^( %d+:%d)%S*', '%1' .. attempts)
  lease = '=' .. token
end

local function remove()
  waiting = string.gsub(waiting, '^ %d+:%d%S*', '')
  redis.call('HDEL', out, number)
  lease = '-'
end

-- A dead letter is kept as long as its trip.
local function bury()
  redis.call('RPUSH', KEYS[3], ARGV[6])
  local ttl = redis.call('PTTL', KEYS[1])
  if ttl > 0 then redis.call('PEXPIRE', KEYS[3], string.format('%.0f', ttl)) end
end

-- The lowest level of what waits, and its first entry.
local function most_urgent()
  local level, urgent = LEVELS - 1, nil
  for entry, l in string.gmatch(waiting, '(%d+:(%d)%S*)') do
    if tonumber(l) < level then level, urgent = tonumber(l), entry end
  end
  return level, urgent
end

-- What is more urgent than a head that was put back becomes the head. Returns
-- whether something is.
local function pass(level, urgent)
  if level >= tonumber(string.match(waiting, ':(%d)')) then return false end
  local before, after = string.match(waiting, '^(.-) ' .. urgent .. '(.*)$')
  waiting = ' ' .. urgent .. before .. after
  return true
end

local function next_one()
  if waiting == '' then
    redis.call('HDEL', out, address)
    redis.call('ZREM', ready, queue)
    return
  end
  local level, urgent = most_urgent()
  local from
  if how == 'later' and not pass(level, urgent) then from = ARGV[6] end
  from = from or math.min(string.match(waiting, '%d+'), ARGV[5])
  redis.call('HSET', out, address, lease .. waiting)
  redis.call('ZADD', ready, string.format('%.0f', level * 1e14 + from), queue)
end

if lease ~= token then return late() end
lease = '-' -- a letter that was dropped meanwhile leaves nothing but its lease
if body and how == 'later' then
  put_back()
elseif body then
  remove()
  if how == 'dead' then bury() end
end
next_one()
return 'ok'
