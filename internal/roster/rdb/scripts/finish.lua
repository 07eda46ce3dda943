-- Ends a lease: the head was sent, is put back, or is dead. The rest of the
-- queue becomes ready. What is more urgent than a head that is put back passes it.
--
-- KEYS  1 trip  2 out  3 dead  4 ready
-- ARGV  1 'sent', 'later' or 'dead'  2 lease token  3 queue  4 address
--       5 later: ready from (ms); dead: dead letter (JSON)
--       6 later: '1' when an attempt may have arrived, '0'  7 later: attempts made
-- Returns 'ok', also when it was done before with this token and for a message
--       that waits no more; 'conflict' when the lease is another's by now.

local address = ARGV[4]
local token, number = string.match(ARGV[2], '^(.*) (%d+)$')
local record = redis.call('HGET', KEYS[2], address) or ''
local lease, waiting = string.match(record, '^(%S*)(.*)$')
local body = redis.call('HGET', KEYS[2], number)

if lease ~= token then
  if not body or ARGV[1] == 'later' and lease == '=' .. token then return 'ok' end
  return 'conflict'
end

lease = '-'
if body and ARGV[1] == 'later' then
  lease = '=' .. token
  waiting = string.gsub(waiting, '^( %d+:%d)%S*', '%1/' .. ARGV[7] .. (ARGV[6] == '1' and 'u' or ''))
elseif body then
  waiting = string.gsub(waiting, '^ %d+:%d%S*', '')
  redis.call('HDEL', KEYS[2], number)
  if ARGV[1] == 'dead' then
    redis.call('RPUSH', KEYS[3], ARGV[5])
    local ttl = redis.call('PTTL', KEYS[1])
    if ttl > 0 then redis.call('PEXPIRE', KEYS[3], string.format('%.0f', ttl)) end
  end
end

if waiting == '' then
  redis.call('HDEL', KEYS[2], address)
  redis.call('ZREM', KEYS[4], ARGV[3])
  return 'ok'
end
local level, urgent = LEVELS - 1, nil
for entry, l in string.gmatch(waiting, '(%d+:(%d)%S*)') do
  if tonumber(l) < level then level, urgent = tonumber(l), entry end
end
local from = string.match(waiting, '%d+')
if ARGV[1] == 'later' then
  local first = tonumber(string.match(waiting, ':(%d)'))
  if level < first then
    local before, after = string.match(waiting, '^(.-) ' .. urgent .. '(.*)$')
    waiting = ' ' .. urgent .. before .. after
    from = string.match(urgent, '%d+')
  else
    from = ARGV[5]
  end
end
redis.call('HSET', KEYS[2], address, lease .. waiting)
redis.call('ZADD', KEYS[4], string.format('%.0f', level * 1e14 + from), ARGV[3])
return 'ok'
