-- Makes what a trip has to tell due now, from a given event on or from where it
-- stands. A lease that is being held ends by itself; what it tells is told again
-- when it was rewound.
--
-- KEYS  1 news  2 teller  3 events  4 told  5 trip
-- ARGV  1 member  2 number of the event to begin with, '0' for the next  3 now (ms)
--       4 '1' to forget failures so far
-- Returns how many events there are to tell; -1 when there is no such event.

local gone = tonumber(redis.call('HGET', KEYS[4], 'gone') or '0')
local count = gone + redis.call('LLEN', KEYS[3])
local from = tonumber(ARGV[2])
if from > count or from > 0 and from <= gone then return -1 end
if from > 0 then redis.call('HSET', KEYS[4], 'sent', string.format('%d', from - 1)) end
if ARGV[4] == '1' then redis.call('HDEL', KEYS[4], 'attempts', 'since') end
local ttl = redis.call('PTTL', KEYS[5])
if ttl > 0 then redis.call('PEXPIRE', KEYS[4], string.format('%.0f', ttl)) end

local left = count - tonumber(redis.call('HGET', KEYS[4], 'sent') or '0')
local score = redis.call('ZSCORE', KEYS[1], ARGV[1])
local leased = score and tonumber(score) > tonumber(ARGV[3]) and redis.call('HEXISTS', KEYS[2], ARGV[1]) == 1
if left > 0 and not leased then redis.call('ZADD', KEYS[1], ARGV[3], ARGV[1]) end
return left
