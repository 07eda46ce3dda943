-- Writes all that one event, or several of one trip, change, or nothing.
--
-- KEYS  1 trip  2 log  3 events  4 sources  5 out
--       6 seq  7 ready  8 due  9 expiry  10 shop  11 news;
--       when the expiry changes also the trip's other keys
-- ARGV  1 now (ms)  2 version it was loaded at  3 new version  4 token
--       5 token of the commit that this one builds on: what differs from it is
--       written; '' when the trip is new
--       6 trip id  7 expiry member
--       8 wake (ms) or ''  9 departure (ms); of each '=' when it is as stored
--       10 expire (ms) or ''  11 '1' when it is another than what is stored
--       12 number of sources  13 of fields to set  14 of fields to remove
--       15 of acts  16 of events  17 of addresses to drop  18 of messages;
--       then sources; field, value; fields; acts; events; addresses; messages:
--       address, level, envelope (JSON)
-- Returns 'ok', with how many messages gave way to newer ones when any did;
--       'applied' when a commit with this token was written before, of
--       the last four; 'duplicate ' and the source when one of the sources was
--       committed with another token; 'conflict' when the stored version is
--       another, or was written by another commit than that of argument 5.

local at = 19
local function take()
  at = at + 1
  return ARGV[at - 1]
end

local stored = redis.call('HMGET', KEYS[1], 'v', 'by')
local by = stored[2] or ''

-- What was committed before may be on this server alone. A write of nothing new is
-- for replicas to confirm, and all before it.
local function before(answer)
  if stored[1] then redis.call('HSET', KEYS[1], 'v', stored[1]) end
  return answer
end
if string.find(' ' .. by .. ' ', ' ' .. ARGV[4] .. ' ', 1, true) then return before('applied') end

local minute = math.floor(ARGV[1] / 60000)
local oldest = minute - 2880 -- 48 h
local heard = ''
local sources = tonumber(ARGV[12])
if sources > 0 then
  local seen = redis.call('GET', KEYS[4]) or ''
  for _ = 1, sources do
    local name = take()
    local source = '\n' .. name .. '\r'
    local _, found = string.find(seen, source, 1, true)
    while found do
      if tonumber(string.match(seen, '^%d+', found + 1)) > oldest then return before('duplicate ' .. name) end
      _, found = string.find(seen, source, found, true)
    end
    heard = heard .. source .. string.format('%d', minute)
  end
end

-- After a failover that lost a commit, another one may have its number.
if (stored[1] or '0') ~= ARGV[2] or string.match(by, '^%S*') ~= ARGV[5] then return 'conflict' end

-- What is made here expires with the trip.
local function made(key)
  if ARGV[10] ~= '' then redis.call('PEXPIREAT', key, ARGV[10]) end
end
local function append(command, key, n)
  if n == 0 then return 0 end
  local has = redis.call(command, key, unpack(ARGV, at, at + n - 1))
  at = at + n
  return has
end

local n = 2 * ARGV[13]
by = string.match(by, '^%S+ %S+ %S+') or by
redis.call('HSET', KEYS[1], 'v', ARGV[3], 'by', ARGV[4] .. ' ' .. by, unpack(ARGV, at, at + n - 1))
at = at + n
append('HDEL', KEYS[1], tonumber(ARGV[14]))

local acts, events = tonumber(ARGV[15]), tonumber(ARGV[16])
if acts > 0 and append('RPUSH', KEYS[2], acts) == acts then made(KEYS[2]) end
if events > 0 then
  if append('RPUSH', KEYS[3], events) == events then made(KEYS[3]) end
  redis.call('ZADD', KEYS[11], 'NX', ARGV[1], ARGV[7])
end

for _ = 1, tonumber(ARGV[17]) do
  local address = take()
  local queue = ARGV[6] .. '|' .. address
  local record = redis.call('HGET', KEYS[5], address)
  if record then
    for number in string.gmatch(record, ' (%d+):') do redis.call('HDEL', KEYS[5], number) end
    if tonumber(redis.call('ZSCORE', KEYS[7], queue) or '0') >= LEVELS * 1e14 then
      redis.call('HSET', KEYS[5], address, string.match(record, '^%S+')) -- until the lease ends
    else
      redis.call('HDEL', KEYS[5], address)
      redis.call('ZREM', KEYS[7], queue)
    end
  end
end

-- When very much waits for one address, the oldest that nobody has in hand gives
-- way: newer letters say what holds now, and the far end is away for long.
local gone = 0
local function bounded(record)
  if #record < 2000 or select(2, string.gsub(record, ':', '')) < 500 then return record end
  local before, oldest, rest = string.match(record, '^(%-) (%d+):%d%S*(.*)$')
  if not before then
    before, oldest, rest = string.match(record, '^(%S+ %S+) (%d+):%d%S*(.*)$')
  end
  redis.call('HDEL', KEYS[5], oldest)
  gone = gone + 1
  return before .. rest
end

local messages = tonumber(ARGV[18])
local number = messages > 0 and redis.call('INCRBY', KEYS[6], messages) - messages
local first = false
for _ = 1, messages do
  local address, level, envelope = take(), take(), take()
  number = number + 1
  local name = string.format('%d', number)
  local record = redis.call('HGET', KEYS[5], address)
  first = first or not record
  local queue = ARGV[6] .. '|' .. address
  local lease, head, its = string.match(record or '', '^(=%S+)( %d+:(%d).*)$')
  local passes = lease and level < its -- the head was put back, and is less urgent
  local entry = ' ' .. name .. ':' .. level
  local longer = passes and lease .. entry .. string.sub(bounded('-' .. head), 2) or bounded(record or '-') .. entry
  redis.call('HSET', KEYS[5], address, longer, name, envelope)
  if passes or not record then
    redis.call('ZADD', KEYS[7], string.format('%.0f', level * 1e14 + number), queue)
  elseif not string.find(record, ':[0-' .. level .. ']') then -- it has become more urgent
    local score = tonumber(redis.call('ZSCORE', KEYS[7], queue) or level * 1e14 + number)
    score = score - math.max(0, math.floor(score / 1e14) % LEVELS - level) * 1e14
    redis.call('ZADD', KEYS[7], string.format('%.0f', score), queue)
  end
end
if first and ARGV[10] ~= '' then redis.call('PEXPIREAT', KEYS[5], ARGV[10], 'NX') end

if ARGV[8] == '' then
  redis.call('ZREM', KEYS[8], ARGV[6])
elseif ARGV[8] ~= '=' then
  redis.call('ZADD', KEYS[8], ARGV[8], ARGV[6])
end
if ARGV[9] ~= '=' then redis.call('ZADD', KEYS[10], ARGV[9], ARGV[6]) end

if heard ~= '' then
  local length = redis.call('APPEND', KEYS[4], heard)
  if length == #heard then
    made(KEYS[4])
  elseif ARGV[3] % 64 == 0 then
    local all, young = redis.call('GET', KEYS[4]), 1
    local stop, old = select(2, string.find(all, '^\n[^\r]*\r(%d+)'))
    while stop and tonumber(old) <= oldest do
      young = stop + 1
      stop, old = select(2, string.find(all, '^\n[^\r]*\r(%d+)', young))
    end
    if #all - young > 100000 then -- thousands, all looked through at every commit
      young = string.find(all, '\n', #all - 50000, true)
    end
    if young > 1 then redis.call('SET', KEYS[4], string.sub(all, young), 'KEEPTTL') end
  end
end

if ARGV[11] == '1' then
  local lasting = {KEYS[1], KEYS[2], KEYS[3], KEYS[4], KEYS[5], unpack(KEYS, 12)}
  if ARGV[10] == '' then
    redis.call('ZREM', KEYS[9], ARGV[7])
    for _, key in ipairs(lasting) do redis.call('PERSIST', key) end
  else
    redis.call('ZADD', KEYS[9], ARGV[10], ARGV[7])
    for _, key in ipairs(lasting) do redis.call('PEXPIREAT', key, ARGV[10]) end
  end
end
return gone > 0 and 'ok ' .. gone or 'ok'
