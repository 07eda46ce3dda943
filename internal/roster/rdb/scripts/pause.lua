-- Stops a limit until an instant; a later pause stays. The key lives as long by
-- the server's clock as the pause lasts by ours: the two need not agree.
--
-- KEYS  1 pause
-- ARGV  1 until (ms)  2 now (ms)
-- Returns 1.

local until_, now = tonumber(ARGV[1]), tonumber(ARGV[2])
local had, set = string.match(redis.call('GET', KEYS[1]) or '', '^(%d+) (%d+)$')
if had and tonumber(set) > now then had = tonumber(had) - tonumber(set) + now end -- the clock was set back
if until_ > now and until_ > tonumber(had or '0') then
  redis.call('SET', KEYS[1], ARGV[1] .. ' ' .. ARGV[2], 'PX', string.format('%.0f', until_ - now))
end
return 1
