package desk

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"time"
)

const (
	// headerTime is for a request's first lines, which fit in one packet. TestASlowHeaderIsLeft would notice.
	headerTime = 5 * time.Second
	// writeTime is from there to the end of the answer: the body, the wait, the work, and some MB to a slow phone.
	// Nothing ends sooner at half of it, nor later than a test could wait at twice.
	writeTime = 3 * time.Minute
	// idleTime keeps a connection open between two changes of a setting. Nothing shows but another handshake.
	idleTime = time.Minute
	// maxHeader is the most of a request's header, in bytes: browsers send one or two thousand.
	// TestALongHeaderIsRefused would notice.
	maxHeader = 16 << 10
	// endTime is how long answers that are being sent may take once the program is to end; readings end in 50 ms.
	// TestServeEndsCleanly would notice if it were not kept.
	endTime = 2 * time.Second
)

// Serve answers on l with h until ctx is done, which ends the readings too, and gives nil then. It closes l. Nothing is
// logged: a log would have addresses with keys.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	s := &http.Server{
		Handler:           h,
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       headerTime + bodyTime,
		WriteTimeout:      writeTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    maxHeader,
		ErrorLog:          log.New(io.Discard, "", 0),
		BaseContext:       func(net.Listener) context.Context { return ctx },
		// "OPTIONS *" is asked for its Host as all else is.
		DisableGeneralOptionsHandler: true,
	}
	ended := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(ended)
		patience, cancel := context.WithTimeout(context.Background(), endTime)
		defer cancel()
		if s.Shutdown(patience) != nil {
			_ = s.Close() // those who do not listen are left
		}
	})
	defer stop()
	err := s.Serve(l)
	if errors.Is(err, http.ErrServerClosed) {
		<-ended
		return nil
	}
	return err
}
