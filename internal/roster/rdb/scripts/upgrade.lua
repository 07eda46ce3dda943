-- Brings what an older form stored of a trip into form 4: the head in parts,
-- dialogue states with the trip, ids of events as one string, and the outbox as
-- two keys, with every lease, wait and order as they were.
--
-- KEYS  1 trip  2 sources  3 out  4 ready;
--       of form 3: 5 session  6 seen  7 applied  8 fifo  9 body  10 levels
--       11 lease  12 owner  13 level  14 backlog  15 unsure  16 17 18 ready 0 1 2
-- ARGV  1 trip id  2 the head as it was read; then field, value, ... to set
-- Returns 1, or 0 when the head is no longer what it was.

if redis.call('HGET', KEYS[1], 'data') ~= ARGV[2] then return 0 end
redis.call('HSET', KEYS[1], unpack(ARGV, 3))
redis.call('HINCRBY', KEYS[1], 'v', 1) -- whoever still has the older form in memory finds out

local states = redis.call('HGETALL', KEYS[5])
for i = 1, #states, 2 do redis.call('HSET', KEYS[1], 'session:' .. states[i], states[i + 1]) end

local seen = redis.call('ZRANGE', KEYS[6], 0, -1, 'WITHSCORES')
for i = 1, #seen, 2 do
  redis.call('APPEND', KEYS[2], '\n' .. seen[i] .. '\r' .. string.format('%d', math.floor(seen[i + 1] / 60000)))
end

local records, urgent = {}, {}
for _, entry in ipairs(redis.call('ZRANGE', KEYS[8], 0, -1)) do
  local address, name = string.sub(entry, 1, -18), string.sub(entry, -16)
  local number = string.format('%d', tonumber(name))
  local queue = ARGV[1] .. '|' .. address
  local unsure, attempts, level, envelope = string.match(redis.call('HGET', KEYS[9], name) or '', '^(%d) (%d+) (%d) (.*)$')
  if unsure then
    if redis.call('HGET', KEYS[15], queue) == name then unsure = '1' end
    redis.call('HSET', KEYS[3], number, unsure .. ' ' .. attempts .. ' ' .. envelope)
    if not records[address] then
      local lease = string.match(redis.call('HGET', KEYS[12], queue) or '', '^(%S+) %d+$') or '-'
      records[address], urgent[address] = lease, 2
    end
    records[address] = records[address] .. ' ' .. number .. ':' .. level
    urgent[address] = math.min(urgent[address], level)
  end
end
for address, record in pairs(records) do
  local queue, level = ARGV[1] .. '|' .. address, urgent[address]
  redis.call('HSET', KEYS[3], address, record)
  local score = redis.call('ZSCORE', KEYS[11], queue)
  if score then
    level = level + 4
  else
    score = redis.call('ZSCORE', KEYS[16 + level], queue) or string.match(record, ' (%d+):')
  end
  redis.call('ZADD', KEYS[4], string.format('%.0f', level * 1e14 + score), queue)
  redis.call('ZREM', KEYS[11], queue)
  for i = 12, 15 do redis.call('HDEL', KEYS[i], queue) end
  for i = 16, 18 do redis.call('ZREM', KEYS[i], queue) end
end

local ends = redis.call('PEXPIRETIME', KEYS[1])
for i = 2, 3 do
  if ends > 0 then redis.call('PEXPIREAT', KEYS[i], string.format('%.0f', ends)) end
end
for i = 5, 10 do redis.call('DEL', KEYS[i]) end
return 1
