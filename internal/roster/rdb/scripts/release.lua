-- The response came: the slot becomes free one period from now. What no slot
-- needs any more does not outlive them: a chat's limit names the chat.
--
-- KEYS  1 slots
-- ARGV  1 now (ms)  2 period (ms)  3 slot
-- Returns 1.

local now, period = tonumber(ARGV[1]), tonumber(ARGV[2])
if redis.call('ZSCORE', KEYS[1], ARGV[3]) then
  redis.call('ZADD', KEYS[1], string.format('%.0f', now + period), ARGV[3])
end
local last = redis.call('ZRANGE', KEYS[1], -1, -1, 'WITHSCORES')[2]
if last then -- for as long as that is from now, whatever the server's clock says
  redis.call('PEXPIRE', KEYS[1], string.format('%.0f', math.max(1, math.min(tonumber(last) - now, period + 60000))))
end
return 1
