-- Writes all that one event changes, or nothing.
--
-- KEYS  1 trip  2 session  3 log  4 applied  5 seen  6 events  7 fifo  8 body
--       9 levels  10 dead  11 chat  12 chatid  13 told
--       14 due  15 expiry  16 shop  17 seq  18 lease  19 level  20 backlog
--       21 22 23 ready 0 1 2  24 news
-- ARGV  1 now (ms)  2 version it was loaded at  3 new version  4 head (JSON)
--       5 token  6 number of sources  7 trip id  8 expiry member
--       9 wake (ms) or ''  10 expire (ms) or ''  11 departure (ms); of each '='
--       when it is as stored
--       12 number of sessions  13 of acts  14 of events  15 of addresses to
--       drop  16 of messages  17 token of the commit that this one builds on:
--       what differs from it is written; '' when the trip is written as a whole
--       18 number of people written  19 of people removed; then sources; people:
--       field, person (JSON); removed: field; sessions: person, state ('' removes);
--       acts; events; addresses; messages: address, level, envelope (JSON)
-- Returns 'ok'; 'applied' when a commit with this token was written before;
--       'duplicate' when one of the sources was committed with another token;
--       'conflict' when the stored version is another; 'whole' when it was
--       written by another commit than that of argument 17.

local now = tonumber(ARGV[1])
if redis.call('ZSCORE', KEYS[4], ARGV[5]) then return 'applied' end
local at = 20
local function take()
  at = at + 1
  return ARGV[at - 1]
end

local sources = {}
for i = 1, tonumber(ARGV[6]) do
  sources[i] = take()
  local seen = redis.call('ZSCORE', KEYS[5], sources[i])
  if seen and tonumber(seen) > now - 172800000 then return 'duplicate' end
end
local stored = redis.call('HMGET', KEYS[1], 'v', 'by')
if (stored[1] or '0') ~= ARGV[2] then return 'conflict' end
if ARGV[17] ~= '' and stored[2] ~= ARGV[17] then return 'whole' end

if ARGV[17] == '' then redis.call('DEL', KEYS[1]) end
redis.call('HSET', KEYS[1], 'v', ARGV[3], 'by', ARGV[5], 'data', ARGV[4])
for _ = 1, tonumber(ARGV[18]) do redis.call('HSET', KEYS[1], take(), take()) end
for _ = 1, tonumber(ARGV[19]) do redis.call('HDEL', KEYS[1], take()) end

for _ = 1, tonumber(ARGV[12]) do
  local person, state = take(), take()
  if state == '' then
    redis.call('HDEL', KEYS[2], person)
  else
    redis.call('HSET', KEYS[2], person, state)
  end
end
local function push(key, n)
  if n == '0' then return end
  redis.call('RPUSH', key, unpack(ARGV, at, at + n - 1))
  at = at + n
end
push(KEYS[3], ARGV[13])
push(KEYS[6], ARGV[14])
if ARGV[14] ~= '0' then redis.call('ZADD', KEYS[24], 'NX', ARGV[1], ARGV[8]) end

local ready = {['0'] = KEYS[21], ['1'] = KEYS[22], ['2'] = KEYS[23]}
for _ = 1, tonumber(ARGV[15]) do
  local address = take()
  local queue = ARGV[7] .. '|' .. address
  local from, to = '[' .. address .. '\0', '(' .. address .. '\1'
  for _, entry in ipairs(redis.call('ZRANGEBYLEX', KEYS[7], from, to)) do
    redis.call('HDEL', KEYS[8], string.sub(entry, -16))
  end
  redis.call('ZREMRANGEBYLEX', KEYS[7], from, to)
  for level = 0, 2 do
    redis.call('HDEL', KEYS[9], address .. '|' .. level)
    redis.call('ZREM', ready[tostring(level)], queue)
  end
  redis.call('HDEL', KEYS[19], queue)
  redis.call('HDEL', KEYS[20], queue)
end
for _ = 1, tonumber(ARGV[16]) do
  local address, level, envelope = take(), take(), take()
  local number = string.format('%016d', redis.call('INCR', KEYS[17]))
  local queue = ARGV[7] .. '|' .. address
  redis.call('ZADD', KEYS[7], 0, address .. '\0' .. number)
  redis.call('HSET', KEYS[8], number, '0 0 ' .. level .. ' ' .. envelope)
  redis.call('HINCRBY', KEYS[9], address .. '|' .. level, 1)
  redis.call('HINCRBY', KEYS[20], queue, 1)
  local had = redis.call('HGET', KEYS[19], queue)
  if not had or level < had then
    redis.call('HSET', KEYS[19], queue, level)
    if not redis.call('ZSCORE', KEYS[18], queue) then
      local score = number
      if had then
        score = redis.call('ZSCORE', ready[had], queue) or number
        redis.call('ZREM', ready[had], queue)
      end
      redis.call('ZADD', ready[level], score, queue)
    end
  end
end

if ARGV[9] == '' then
  redis.call('ZREM', KEYS[14], ARGV[7])
elseif ARGV[9] ~= '=' then
  redis.call('ZADD', KEYS[14], ARGV[9], ARGV[7])
end
if ARGV[11] ~= '=' then redis.call('ZADD', KEYS[16], ARGV[11], ARGV[7]) end

redis.call('ZADD', KEYS[4], ARGV[1], ARGV[5])
for _, source in ipairs(sources) do redis.call('ZADD', KEYS[5], ARGV[1], source) end
if tonumber(ARGV[3]) % 16 == 0 then
  redis.call('ZREMRANGEBYSCORE', KEYS[4], '-inf', string.format('%.0f', now - 600000))
  redis.call('ZREMRANGEBYSCORE', KEYS[5], '-inf', string.format('%.0f', now - 172800000))
end

-- What is new gets its expiry here; all of it when the expiry is another.
local expire = ARGV[10]
if expire == '' then
  redis.call('ZREM', KEYS[15], ARGV[8])
  for i = 1, 13 do redis.call('PERSIST', KEYS[i]) end
elseif expire ~= '=' then
  redis.call('ZADD', KEYS[15], expire, ARGV[8])
  for i = 1, 13 do redis.call('PEXPIREAT', KEYS[i], expire) end
else
  local ends = redis.call('PEXPIRETIME', KEYS[1])
  if ends > 0 then
    local touched = {[2] = ARGV[12], [3] = ARGV[13], [5] = ARGV[6], [6] = ARGV[14], [7] = ARGV[16], [8] = ARGV[16], [9] = ARGV[16]}
    for i, n in pairs(touched) do
      if n ~= '0' then redis.call('PEXPIREAT', KEYS[i], string.format('%.0f', ends), 'NX') end
    end
  end
end
return 'ok'
