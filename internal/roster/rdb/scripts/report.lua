-- Notes how an attempt at a shop's endpoint ended.
--
-- KEYS  1 endpoint
-- ARGV  1 id of the registration  2 reason of the failure, '' for a success
--       3 patience (ms)  4 now (ms)
-- Returns since when it was failing before ('' for not at all), and '1' when
--       this disabled it, '0'.

if redis.call('HGET', KEYS[1], 'id') ~= ARGV[1] then return {'', '0'} end
local failing = redis.call('HGET', KEYS[1], 'failing') or ''
if ARGV[2] == '' then
  redis.call('HSET', KEYS[1], 'succeeded', ARGV[4])
  redis.call('HDEL', KEYS[1], 'failing', 'reason')
  return {failing, '0'}
end
redis.call('HSET', KEYS[1], 'reason', ARGV[2])
redis.call('HSETNX', KEYS[1], 'failing', ARGV[4])
local since = tonumber(redis.call('HGET', KEYS[1], 'failing'))
if tonumber(ARGV[4]) - since < tonumber(ARGV[3]) then return {failing, '0'} end
return {failing, string.format('%d', redis.call('HSETNX', KEYS[1], 'disabled', ARGV[4]))}
