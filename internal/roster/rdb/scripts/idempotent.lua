-- Claims an idempotency key, or reads what was answered under it.
--
-- KEYS  1 the key
-- ARGV  1 hash of the request  2 answer, or '' to claim  3 life (ms)
-- Returns {hash of the first request, its answer or ''}.

local body = redis.call('HGET', KEYS[1], 'body')
if body and (ARGV[2] == '' or body ~= ARGV[1]) then
  return {body, redis.call('HGET', KEYS[1], 'answer') or ''}
end
redis.call('HSET', KEYS[1], 'body', ARGV[1])
if ARGV[2] ~= '' then redis.call('HSET', KEYS[1], 'answer', ARGV[2]) end
redis.call('PEXPIRE', KEYS[1], ARGV[3])
return {ARGV[1], ARGV[2]}
