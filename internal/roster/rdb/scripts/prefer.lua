-- Changes an address's record. The record lives as long as its last seat; one
-- without a seat for a day.
--
-- KEYS  1 record
-- ARGV  1 end of the seats given here, the record's least life (ms)
--       2 number of fields to remove, then those; then field, value, ... to set
-- Returns 1.

local removed = tonumber(ARGV[2])
for i = 3, 2 + removed do redis.call('HDEL', KEYS[1], ARGV[i]) end
for i = 3 + removed, #ARGV, 2 do redis.call('HSET', KEYS[1], ARGV[i], ARGV[i + 1]) end
local ends = redis.call('PEXPIRETIME', KEYS[1])
if ends < tonumber(ARGV[1]) then redis.call('PEXPIREAT', KEYS[1], ARGV[1]) end
return 1
