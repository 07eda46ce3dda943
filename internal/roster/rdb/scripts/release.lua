-- The response came: the slot becomes free in each window one period from now. What no
-- slot needs any more does not outlive them: a chat's limit names the chat.
--
-- KEYS  for each window: 1 slots
-- ARGV  1 now (ms)  2 slot; then for each window: period (ms)
-- Returns 1.

local now, slot = tonumber(ARGV[1]), ARGV[2]

local function release(slots, period)
  if redis.call('ZSCORE', slots, slot) then
    redis.call('ZADD', slots, string.format('%.0f', now + period), slot)
  end
  local last = redis.call('ZRANGE', slots, -1, -1, 'WITHSCORES')[2]
  if last then -- for as long as that is from now, whatever the server's clock says
    redis.call('PEXPIRE', slots, string.format('%.0f', math.max(1, math.min(tonumber(last) - now, period + 60000))))
  end
end

for i, slots in ipairs(KEYS) do release(slots, tonumber(ARGV[i + 2])) end
return 1
