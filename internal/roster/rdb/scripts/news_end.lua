-- Ends a lease on a trip's news. The trip stays in the index while it has more
-- to tell. What nobody listens to goes; the numbers of the events go on.
--
-- KEYS  1 news  2 teller  3 events  4 told  5 trip
-- ARGV  1 'told', 'failed', 'given-up', 'parked', 'unheard' or 'waits'
--       2 token  3 member  4 number of the event  5 now (ms)
--       6 failed, waits: due again (ms)
-- Returns 'ok'; 'conflict' when the lease is another's by now, or was ended.

local index, teller, events, told, how, member = KEYS[1], KEYS[2], KEYS[3], KEYS[4], ARGV[1], ARGV[3]
local gone = tonumber(redis.call('HGET', told, 'gone') or '0')
local count = gone + redis.call('LLEN', events)
local sent = tonumber(redis.call('HGET', told, 'sent') or '0')

-- Otherwise the trip was told to begin elsewhere meanwhile.
local function same() return sent + 1 == tonumber(ARGV[4]) end

local function failed()
  redis.call('HINCRBY', told, 'attempts', 1)
  redis.call('HSETNX', told, 'since', ARGV[5])
end

local function went()
  if how == 'unheard' then -- all of it
    sent = count
    redis.call('DEL', events)
    redis.call('HSET', told, 'gone', string.format('%d', count))
  else
    sent = sent + 1
  end
  redis.call('HSET', told, 'sent', string.format('%d', sent))
  redis.call('HDEL', told, 'attempts', 'since')
end

local function expire_with_trip()
  local ttl = redis.call('PTTL', KEYS[5])
  if ttl > 0 then redis.call('PEXPIRE', told, string.format('%.0f', ttl)) end
end

-- The trip is due again, if it has more to tell.
local function next_one(due)
  if count > sent and how ~= 'parked' then
    redis.call('ZADD', index, due, member)
  else
    redis.call('ZREM', index, member)
  end
end

if redis.call('HGET', teller, member) ~= ARGV[2] then return 'conflict' end
redis.call('HDEL', teller, member)
local due = ARGV[5]
if how == 'waits' then
  due = ARGV[6]
elseif how == 'failed' and same() then
  failed()
  due = ARGV[6]
elseif how ~= 'failed' and how ~= 'parked' and same() then
  went()
end
expire_with_trip()
next_one(due)
return 'ok'
