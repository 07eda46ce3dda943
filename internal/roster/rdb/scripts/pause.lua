-- Stops a limit until an instant; a later pause stays.
--
-- KEYS  1 pause
-- ARGV  1 until (ms)
-- Returns 1.

local until_ = tonumber(redis.call('GET', KEYS[1]) or '0')
if tonumber(ARGV[1]) > until_ then
  redis.call('SET', KEYS[1], ARGV[1])
  redis.call('PEXPIREAT', KEYS[1], ARGV[1])
end
return 1
