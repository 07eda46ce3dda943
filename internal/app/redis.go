package app

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster/rdb"
)

// connect opens the client and waits until the server answers, since a
// service without its store can't take in anything.
func connect(ctx context.Context, given string, replicas int) (redis.UniversalClient, error) {
	if given == "" {
		return nil, fmt.Errorf("%sREDIS_URL %s", Prefix, needRedis)
	}
	o, err := rdb.Options(given)
	if err != nil {
		return nil, fmt.Errorf("%sREDIS_URL %w", Prefix, err)
	}
	o.PoolSize = 64
	redis.SetLogger(driverLog{})
	client := rdb.Connect(o, replicas)
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	if err := client.Ping(ctx).Err(); err != nil {
		_ = client.Close()
		return nil, fmt.Errorf("no Redis answers at %v (%w); start one there (redis-server --appendonly yes), or set "+
			"%sREDIS_URL to where it is",
			o.Addrs, err, Prefix)
	}
	return client, nil
}

// warnAboutRedis says what in the server's settings could lose records.
func (s *service) warnAboutRedis(ctx context.Context) {
	for _, w := range s.store.Warnings(ctx) {
		s.log.Warn("unsafe Redis setting", "what", w)
	}
	if missing := rdb.MissingReplicas(ctx, s.client, s.cfg.RedisReplicas); missing != "" {
		s.log.Error("replicas are missing", "what", missing)
	}
}

// driverLog keeps the driver's own lines, one for each failed dial, out of the
// way: what they mean for the service, its parts say themselves.
type driverLog struct{}

func (driverLog) Printf(ctx context.Context, format string, v ...any) {
	slog.DebugContext(ctx, "redis driver", "said", fmt.Sprintf(format, v...))
}
