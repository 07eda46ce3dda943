-- Ends a lease on a trip's news. The trip stays in the index while it has more
-- to tell. What nobody listens to goes; the numbers of the events go on.
--
-- KEYS  1 news  2 teller  3 events  4 told  5 trip
-- ARGV  1 'told', 'failed', 'given-up', 'parked', 'unheard' or 'waits'
--       2 token  3 member  4 number of the event  5 now (ms)
--       6 failed, waits: due again (ms)
-- Returns 'ok'; 'conflict' when the lease is another's by now, or was ended.

local how, member = ARGV[1], ARGV[3]
if redis.call('HGET', KEYS[2], member) ~= ARGV[2] then return 'conflict' end
redis.call('HDEL', KEYS[2], member)

local gone = tonumber(redis.call('HGET', KEYS[4], 'gone') or '0')
local count = gone + redis.call('LLEN', KEYS[3])
local sent = tonumber(redis.call('HGET', KEYS[4], 'sent') or '0')
local same = sent + 1 == tonumber(ARGV[4]) -- or else it was told to begin elsewhere meanwhile
local due = ARGV[5]

if how == 'failed' and same then
  redis.call('HINCRBY', KEYS[4], 'attempts', 1)
  redis.call('HSETNX', KEYS[4], 'since', ARGV[5])
  due = ARGV[6]
elseif how == 'waits' then
  due = ARGV[6]
elseif same and (how == 'told' or how == 'given-up' or how == 'unheard') then
  if how == 'unheard' then
    sent = count
    redis.call('DEL', KEYS[3])
    redis.call('HSET', KEYS[4], 'gone', string.format('%d', count))
  else
    sent = sent + 1
  end
  redis.call('HSET', KEYS[4], 'sent', string.format('%d', sent))
  redis.call('HDEL', KEYS[4], 'attempts', 'since')
end
local ttl = redis.call('PTTL', KEYS[5])
if ttl > 0 then redis.call('PEXPIRE', KEYS[4], string.format('%.0f', ttl)) end

if count > sent and how ~= 'parked' then
  redis.call('ZADD', KEYS[1], due, member)
else
  redis.call('ZREM', KEYS[1], member)
end
return 'ok'
