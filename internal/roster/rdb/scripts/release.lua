-- The response came: the slot becomes free one period from now.
--
-- KEYS  1 slots
-- ARGV  1 when it becomes free (ms)  2 slot
-- Returns 1.

if redis.call('ZSCORE', KEYS[1], ARGV[2]) then redis.call('ZADD', KEYS[1], ARGV[1], ARGV[2]) end
return 1
