-- Packs the oldest lines of a list away, if they are still what they were read
-- as. What is packed expires with its trip.
--
-- KEYS  1 trip  2 lines  3 packed
-- ARGV  1 number of lines  2 those lines as a JSON array  3 the same, packed
-- Returns 1, or 0 when they were no longer what they had been.

local lines = redis.call('LRANGE', KEYS[2], 0, ARGV[1] - 1)
if '[' .. table.concat(lines, ',') .. ']' ~= ARGV[2] then return 0 end
redis.call('RPUSH', KEYS[3], ARGV[3])
redis.call('LTRIM', KEYS[2], ARGV[1], -1)
local ttl = redis.call('PTTL', KEYS[1])
if ttl > 0 then redis.call('PEXPIRE', KEYS[3], string.format('%.0f', ttl)) end
return 1
