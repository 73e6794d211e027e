package staff

import (
	"context"
	"crypto/rand"
	"errors"
	"time"

	"midcase/internal/shop"
)

// servingFor is how long a server that was cut off is taken to be there still; one that runs says so
// three times as often.
const servingFor = time.Minute

// Serving notes that the shop is served, until ctx ends, so that the last person is not removed
// meanwhile; what it returns ends it. Failures are told to failed, since serving goes on.
func (r *Room) Serving(ctx context.Context, failed func(error)) (done func(), err error) {
	id := rand.Text()
	err = r.doors.Serve(ctx, id, r.shop.Now().Add(servingFor))
	if err != nil && !errors.Is(err, shop.ErrDiskFull) { // on a full disk it is served for reading
		return nil, err
	}
	ctx, stop := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(servingFor / 3)
		defer tick.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
				if err := r.doors.Serve(ctx, id, r.shop.Now().Add(servingFor)); err != nil && ctx.Err() == nil {
					failed(err)
				}
			}
		}
	}()
	return func() {
		stop()
		<-ended
		if err := r.doors.Serve(context.WithoutCancel(ctx), id, time.Time{}); err != nil {
			failed(err)
		}
	}, nil
}
