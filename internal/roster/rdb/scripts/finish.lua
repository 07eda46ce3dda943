-- Ends a lease: the head was sent, is put back, or is dead. The rest of the
-- queue becomes ready.
--
-- KEYS  1 trip  2 fifo  3 body  4 levels  5 dead
--       6 lease  7 owner  8 level  9 backlog  10 done  11 12 13 ready 0 1 2
-- ARGV  1 'sent', 'later' or 'dead'  2 lease token  3 queue  4 address
--       5 now (ms)  6 later: ready from (ms); dead: dead letter (JSON)
--       7 later: '1' when an attempt may have arrived, '0'
-- Returns 'ok', also when it was done before with this token; 'conflict' when
--       the lease is another's by now.

if redis.call('ZSCORE', KEYS[10], ARGV[2]) then return 'ok' end
if redis.call('HGET', KEYS[7], ARGV[3]) ~= ARGV[2] then return 'conflict' end

local queue, address = ARGV[3], ARGV[4]
local head = string.sub(ARGV[2], -16)
local body = redis.call('HGET', KEYS[3], head)

redis.call('ZREM', KEYS[6], queue)
redis.call('HDEL', KEYS[7], queue)
if body and ARGV[1] == 'later' then
  redis.call('HSET', KEYS[3], head, ARGV[7] .. string.sub(body, 2))
elseif body then
  local level = string.match(body, '^%d %d+ (%d)')
  redis.call('ZREM', KEYS[2], address .. '\0' .. head)
  redis.call('HDEL', KEYS[3], head)
  if redis.call('HINCRBY', KEYS[4], address .. '|' .. level, -1) <= 0 then
    redis.call('HDEL', KEYS[4], address .. '|' .. level)
  end
  if redis.call('HINCRBY', KEYS[9], queue, -1) <= 0 then redis.call('HDEL', KEYS[9], queue) end
  if ARGV[1] == 'dead' then
    redis.call('RPUSH', KEYS[5], ARGV[6])
    local ttl = redis.call('PTTL', KEYS[1])
    if ttl > 0 then redis.call('PEXPIRE', KEYS[5], string.format('%.0f', ttl)) end
  end
end

local first = redis.call('ZRANGEBYLEX', KEYS[2], '[' .. address .. '\0', '(' .. address .. '\1', 'LIMIT', 0, 1)[1]
if first then
  for level = 0, 2 do
    if redis.call('HEXISTS', KEYS[4], address .. '|' .. level) == 1 then
      local from = string.sub(first, -16)
      if ARGV[1] == 'later' then from = ARGV[6] end
      redis.call('HSET', KEYS[8], queue, level)
      redis.call('ZADD', KEYS[11 + level], from, queue)
      break
    end
  end
else
  redis.call('HDEL', KEYS[8], queue)
  redis.call('HDEL', KEYS[9], queue)
end

redis.call('ZADD', KEYS[10], ARGV[5], ARGV[2])
redis.call('ZREMRANGEBYSCORE', KEYS[10], '-inf', string.format('%.0f', ARGV[5] - 600000))
return 'ok'
