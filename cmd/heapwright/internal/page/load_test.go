package page_test

import (
	"io"
	"net/http"
	"net/url"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkLoad asks for 200 whole answers a second, pictures and all, for ten
// seconds, whether the ones before have come or not. Run it with -benchtime 1x.
// It shares the machine with the page, and its memory: the heap after the
// load is told beside the one before.
func BenchmarkLoad(b *testing.B) {
	const (
		each   = time.Second / 200
		lasts  = 10 * time.Second
		atOnce = 64
	)
	address := serve(b)
	body := url.Values{
		"mode": {"mix"}, "ratio": {"30"}, "moisture": {"55"},
		"lot-name": {"leaves", "grass clippings", "straw"}, "lot-amount": {"14 sacks", "5 barrows", "2 bales"},
	}.Encode()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: atOnce}, Timeout: 10 * time.Second}
	var mu sync.Mutex
	var times []time.Duration
	failed := 0
	ask := func() {
		began := time.Now()
		reply, err := client.Post(address+"answer", "application/x-www-form-urlencoded", strings.NewReader(body))
		var all []byte
		if err == nil {
			all, err = io.ReadAll(reply.Body)
			reply.Body.Close()
		}
		mu.Lock()
		defer mu.Unlock()
		if err != nil || reply.StatusCode != http.StatusOK || !strings.Contains(string(all), `id="verdict"`) {
			failed++
			return
		}
		times = append(times, time.Since(began))
	}
	heap := func() float64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc) / 1e6
	}
	ask()
	before := heap()
	for b.Loop() {
		var wg sync.WaitGroup
		tick := time.NewTicker(each)
		for end := time.Now().Add(lasts); time.Now().Before(end); <-tick.C {
			wg.Go(ask)
		}
		tick.Stop()
		wg.Wait()
	}
	client.CloseIdleConnections()
	require.NotEmpty(b, times)
	slices.Sort(times)
	ms := func(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
	b.ReportMetric(float64(len(times)), "answered")
	b.ReportMetric(float64(failed), "failed")
	b.ReportMetric(ms(times[len(times)/2]), "ms/median")
	b.ReportMetric(ms(times[len(times)*99/100]), "ms/99%")
	b.ReportMetric(before, "MB-before")
	b.ReportMetric(heap(), "MB-after")
	b.ReportMetric(0, "ns/op")
}
