-- Leases trips of one bucket whose news is due and reads the next event of
-- each. A trip that another worker took meanwhile is left out; one that has
-- nothing more to tell leaves the index. Called twice with one token it returns
-- the same.
--
-- KEYS  1 news  2 teller; then for each trip: events, told
-- ARGV  1 token  2 now (ms)  3 end of the lease (ms); then for each trip: member
-- Returns member, number, attempts, since or '', event, ...

local taken = {}
for i = 4, #ARGV do
  local member = ARGV[i]
  local events, told = KEYS[2 * i - 5], KEYS[2 * i - 4]
  local score = redis.call('ZSCORE', KEYS[1], member)
  local ours = redis.call('HGET', KEYS[2], member) == ARGV[1]
  if score and (ours or tonumber(score) <= tonumber(ARGV[2])) then
    local sent = tonumber(redis.call('HGET', told, 'sent') or '0')
    local event = redis.call('LINDEX', events, sent - (redis.call('HGET', told, 'gone') or 0))
    if event then
      redis.call('ZADD', KEYS[1], ARGV[3], member)
      redis.call('HSET', KEYS[2], member, ARGV[1])
      taken[#taken + 1] = member
      taken[#taken + 1] = string.format('%d', sent + 1)
      taken[#taken + 1] = redis.call('HGET', told, 'attempts') or '0'
      taken[#taken + 1] = redis.call('HGET', told, 'since') or ''
      taken[#taken + 1] = event
    else
      redis.call('ZREM', KEYS[1], member)
      redis.call('HDEL', KEYS[2], member)
    end
  end
end
return taken
