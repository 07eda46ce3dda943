-- The response came: the slot becomes free one period from now. What no slot
-- needs any more does not outlive them: a chat's limit names the chat.
--
-- KEYS  1 slots
-- ARGV  1 when it becomes free (ms)  2 slot
-- Returns 1.

if redis.call('ZSCORE', KEYS[1], ARGV[2]) then redis.call('ZADD', KEYS[1], ARGV[1], ARGV[2]) end
local last = redis.call('ZRANGE', KEYS[1], -1, -1, 'WITHSCORES')[2]
if last then redis.call('PEXPIREAT', KEYS[1], string.format('%.0f', tonumber(last))) end
return 1
