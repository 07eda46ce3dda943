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

local trip, sources, out, ready = KEYS[1], KEYS[4], KEYS[5], KEYS[7]
local now, token, id, expire = ARGV[1], ARGV[4], ARGV[6], ARGV[10]
local stored = redis.call('HMGET', trip, 'v', 'by')
local version, by = stored[1], stored[2] or ''
local oldest = math.floor(now / 60000) - 2880 -- minute of 48 h ago

-- The variable arguments, in turn.
local at = 19
local function take()
  at = at + 1
  return ARGV[at - 1]
end

-- The next n of them for one command.
local function append(command, key, n)
  if n == 0 then return 0 end
  local has = redis.call(command, key, unpack(ARGV, at, at + n - 1))
  at = at + n
  return has
end

-- What is made here expires with the trip.
local function made(key)
  if expire ~= '' then redis.call('PEXPIREAT', key, expire) end
end

-- What was committed before may be on this server alone. A write of nothing new is
-- for replicas to confirm, and all before it.
local function before(answer)
  if version then redis.call('HSET', trip, 'v', version) end
  return answer
end

local function written_before()
  return string.find(' ' .. by .. ' ', ' ' .. token .. ' ', 1, true)
end

-- Whether a source was committed within 48 h.
local function known(seen, source)
  local _, found = string.find(seen, source, 1, true)
  while found do
    if tonumber(string.match(seen, '^%d+', found + 1)) > oldest then return true end
    _, found = string.find(seen, source, found, true)
  end
end

-- The sources as they are noted down, or nil and the one that is known.
local function hear()
  local n, heard = tonumber(ARGV[12]), ''
  local seen = n > 0 and redis.call('GET', sources) or ''
  for _ = 1, n do
    local name = take()
    local source = '\n' .. name .. '\r'
    if known(seen, source) then return nil, name end
    heard = heard .. source .. string.format('%d', math.floor(now / 60000))
  end
  return heard
end

-- After a failover that lost a commit, another one may have its number.
local function changed_meanwhile()
  return (version or '0') ~= ARGV[2] or string.match(by, '^%S*') ~= ARGV[5]
end

local function write_trip()
  local n = 2 * ARGV[13]
  local last = string.match(by, '^%S+ %S+ %S+') or by
  redis.call('HSET', trip, 'v', ARGV[3], 'by', token .. ' ' .. last, unpack(ARGV, at, at + n - 1))
  at = at + n
  append('HDEL', trip, tonumber(ARGV[14]))
end

local function write_log()
  local acts, events = tonumber(ARGV[15]), tonumber(ARGV[16])
  if acts > 0 and append('RPUSH', KEYS[2], acts) == acts then made(KEYS[2]) end
  if events == 0 then return end
  if append('RPUSH', KEYS[3], events) == events then made(KEYS[3]) end
  redis.call('ZADD', KEYS[11], 'NX', now, ARGV[7])
end

-- What waits for an address goes; a letter in hand keeps its lease until that ends.
local function drop_letters(address)
  local record = redis.call('HGET', out, address)
  if not record then return end
  for number in string.gmatch(record, ' (%d+):') do redis.call('HDEL', out, number) end
  local queue = id .. '|' .. address
  if tonumber(redis.call('ZSCORE', ready, queue) or '0') >= LEVELS * 1e14 then
    redis.call('HSET', out, address, string.match(record, '^%S+'))
  else
    redis.call('HDEL', out, address)
    redis.call('ZREM', ready, queue)
  end
end

-- When very much waits for one address, the oldest that nobody has in hand gives
-- way: newer letters say what holds now, and the far end is away for long.
local gone = 0
local function bounded(record)
  if #record < 2000 or select(2, string.gsub(record, ':', '')) < 500 then return record end
  local kept, first, rest = string.match(record, '^(%-) (%d+):%d%S*(.*)$')
  if not kept then
    kept, first, rest = string.match(record, '^(%S+ %S+) (%d+):%d%S*(.*)$')
  end
  redis.call('HDEL', out, first)
  gone = gone + 1
  return kept .. rest
end

local function place(queue, score)
  redis.call('ZADD', ready, string.format('%.0f', score), queue)
end

-- A letter joins the queue of its address: at its end, or before a head that was
-- put back and is less urgent. Returns whether it is the only one.
local function add_letter(number, address, level, envelope)
  local record, queue = redis.call('HGET', out, address), id .. '|' .. address
  local entry = string.format(' %d:%s', number, level)
  local lease, head, its = string.match(record or '', '^(=%S+)( %d+:(%d).*)$')
  local passes = lease and level < its
  local longer = passes and lease .. entry .. string.sub(bounded('-' .. head), 2) or bounded(record or '-') .. entry
  redis.call('HSET', out, address, longer, string.format('%d', number), envelope)
  if passes or not record then
    place(queue, level * 1e14 + math.min(number, now))
  elseif not string.find(record, ':[0-' .. level .. ']') then -- it has become more urgent
    local score = tonumber(redis.call('ZSCORE', ready, queue) or level * 1e14 + math.min(number, now))
    place(queue, score - math.max(0, math.floor(score / 1e14) % LEVELS - level) * 1e14)
  end
  return not record
end

-- Letters are numbered by the instant, so that those of all buckets stand in one order
-- of arrival: a second back, for as many at once as are ready now all the same.
local function add_letters(n)
  if n == 0 then return end
  local number, first = math.max(tonumber(redis.call('GET', KEYS[6]) or '0'), now - 1000), false
  redis.call('SET', KEYS[6], string.format('%d', number + n))
  for i = 1, n do
    first = add_letter(number + i, take(), take(), take()) or first
  end
  if first and expire ~= '' then redis.call('PEXPIREAT', out, expire, 'NX') end
end

-- When the clock is to look at the trip, and when it departs.
local function index_trip()
  local wake, departs = ARGV[8], ARGV[9]
  if wake == '' then
    redis.call('ZREM', KEYS[8], id)
  elseif wake ~= '=' then
    redis.call('ZADD', KEYS[8], wake, id)
  end
  if departs ~= '=' then redis.call('ZADD', KEYS[10], departs, id) end
end

-- Where the sources begin that are younger than 48 h, or the newest thousands of
-- them: all are looked through at every commit.
local function youngest(all)
  local young = 1
  local stop, old = select(2, string.find(all, '^\n[^\r]*\r(%d+)'))
  while stop and tonumber(old) <= oldest do
    young = stop + 1
    stop, old = select(2, string.find(all, '^\n[^\r]*\r(%d+)', young))
  end
  if #all - young > 100000 then return string.find(all, '\n', #all - 50000, true) end
  return young
end

local function remember(heard)
  if heard == '' then return end
  if redis.call('APPEND', sources, heard) == #heard then return made(sources) end
  if ARGV[3] % 64 ~= 0 then return end
  local all = redis.call('GET', sources)
  local young = youngest(all)
  if young > 1 then redis.call('SET', sources, string.sub(all, young), 'KEEPTTL') end
end

-- All that belongs to the trip expires together.
local function move_expiry()
  if ARGV[11] ~= '1' then return end
  local lasting = {trip, KEYS[2], KEYS[3], sources, out, unpack(KEYS, 12)}
  if expire == '' then
    redis.call('ZREM', KEYS[9], ARGV[7])
    for _, key in ipairs(lasting) do redis.call('PERSIST', key) end
  else
    redis.call('ZADD', KEYS[9], expire, ARGV[7])
    for _, key in ipairs(lasting) do redis.call('PEXPIREAT', key, expire) end
  end
end

if written_before() then return before('applied') end
local heard, twice = hear()
if twice then return before('duplicate ' .. twice) end
if changed_meanwhile() then return 'conflict' end
write_trip()
write_log()
for _ = 1, tonumber(ARGV[17]) do drop_letters(take()) end
add_letters(tonumber(ARGV[18]))
index_trip()
remember(heard)
move_expiry()
return gone > 0 and 'ok ' .. gone or 'ok'
