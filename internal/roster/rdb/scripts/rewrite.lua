-- Rewrites entries of one key, each only if it is still what it was read as.
--
-- KEYS  1 the key
-- ARGV  1 'hash', 'list' or 'zset'; then for each entry: where (a field, an
--       index or the whole member), was, is ('' removes it from a list)
-- Returns how many were no longer what they had been.

local how, missed = ARGV[1], 0
for i = 2, #ARGV, 3 do
  local where, was, is = ARGV[i], ARGV[i + 1], ARGV[i + 2]
  if how == 'hash' and redis.call('HGET', KEYS[1], where) == was then
    redis.call('HSET', KEYS[1], where, is)
  elseif how == 'list' and is == '' then
    redis.call('LREM', KEYS[1], 1, was)
  elseif how == 'list' and redis.call('LINDEX', KEYS[1], where) == was then
    redis.call('LSET', KEYS[1], where, is)
  elseif how == 'zset' and redis.call('ZSCORE', KEYS[1], was) then
    redis.call('ZADD', KEYS[1], redis.call('ZSCORE', KEYS[1], was), is)
    if is ~= was then redis.call('ZREM', KEYS[1], was) end
  else
    missed = missed + 1
  end
end
return missed
