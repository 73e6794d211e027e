package status

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// patience is how long a look at the store may take before the server counts as not ready.
const patience = 2 * time.Second

// Status watches one server.
type Status struct {
	ready    func(context.Context) error
	stopping context.Context
	registry *prometheus.Registry
	answers  *prometheus.CounterVec
	took     prometheus.Histogram
	open     prometheus.Gauge
}

// New watches a server that stops with ctx; ready reports what keeps it from serving.
func New(ctx context.Context, ready func(context.Context) error) *Status {
	s := &Status{ready: ready, stopping: ctx, registry: prometheus.NewRegistry(),
		answers: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "midcase_http_requests_total",
			Help: "Requests answered, by method and code."}, []string{"method", "code"}),
		took: prometheus.NewHistogram(prometheus.HistogramOpts{Name: "midcase_http_request_seconds",
			Help:    "Time to answer a request.",
			Buckets: []float64{.005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30}}),
		open: prometheus.NewGauge(prometheus.GaugeOpts{Name: "midcase_http_requests_open",
			Help: "Requests being answered."})}
	up := prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "midcase_ready",
		Help: "1 where the server can serve, else 0."}, func() float64 {
		if s.why(context.WithoutCancel(ctx)) != nil {
			return 0
		}
		return 1
	})
	s.registry.MustRegister(s.answers, s.took, s.open, up, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return s
}

// why is what keeps the server from serving; nil where nothing does.
func (s *Status) why(ctx context.Context) error {
	if s.stopping.Err() != nil {
		return fmt.Errorf("the server is stopping")
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	return s.ready(ctx)
}

// Handler answers /healthz (the process lives), /readyz (it can serve) and /metrics (Prometheus).
func (s *Status) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { say(w, http.StatusOK, "alive") })
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		if s.why(r.Context()) != nil { // the reason may name the store: it is in the server's own log
			say(w, http.StatusServiceUnavailable, "not ready")
			return
		}
		say(w, http.StatusOK, "ready")
	})
	mux.Handle("GET /metrics", promhttp.HandlerFor(s.registry, promhttp.HandlerOpts{}))
	return mux
}

func say(w http.ResponseWriter, code int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(code)
	fmt.Fprintln(w, text)
}

// Counted counts what a handler answers.
func (s *Status) Counted(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		s.open.Inc()
		c := &coded{ResponseWriter: w, code: http.StatusOK}
		defer func() {
			s.open.Dec()
			s.took.Observe(time.Since(began).Seconds())
			s.answers.WithLabelValues(method(r.Method), strconv.Itoa(c.code)).Inc()
		}()
		next.ServeHTTP(c, r)
	})
}

// method is the method of a request; all that no page answers are one, so that nobody can make up labels.
func method(m string) string {
	switch m {
	case http.MethodGet, http.MethodHead, http.MethodPost:
		return m
	}
	return "other"
}

// coded keeps the code of an answer.
type coded struct {
	http.ResponseWriter
	code int
}

// WriteHeader implements http.ResponseWriter.
func (c *coded) WriteHeader(code int) {
	if code >= 200 { // not the notices before the answer
		c.code = code
	}
	c.ResponseWriter.WriteHeader(code)
}

// Unwrap lets http.ResponseController reach what is beneath.
func (c *coded) Unwrap() http.ResponseWriter { return c.ResponseWriter }
