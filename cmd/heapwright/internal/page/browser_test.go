package page_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The page in a real browser: Debian's Chromium, driven over its own protocol.

// opened is the page, open in a browser.
type opened struct {
	context.Context
	address string

	mu       sync.Mutex
	requests []string // addresses that the browser asked for
	trouble  []string // errors of scripts, and what the policy blocked
}

// open serves the page and opens it in a fresh browser. Tests skip where there
// is none.
func open(t testing.TB) *opened {
	t.Helper()
	var program string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			program = path
			break
		}
	}
	if program == "" {
		t.Skip("not tried in a browser: chromium is not installed: apt-get install chromium")
	}
	profile, err := os.MkdirTemp("", "heapwright-browser")
	require.NoError(t, err)
	t.Cleanup(func() {
		// The last of its processes may still be writing.
		assert.Eventually(t, func() bool { return os.RemoveAll(profile) == nil }, 10*time.Second, 50*time.Millisecond)
	})
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.UserDataDir(profile),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.WindowSize(1200, 1000))
	allocated, endBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(endBrowser)
	tab, endTab := chromedp.NewContext(allocated)
	t.Cleanup(endTab)
	bounded, endTime := context.WithTimeout(tab, 2*time.Minute)
	t.Cleanup(endTime)
	o := &opened{Context: bounded, address: serve(t)}
	chromedp.ListenTarget(tab, func(event any) {
		o.mu.Lock()
		defer o.mu.Unlock()
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			o.requests = append(o.requests, e.Request.URL)
		case *runtime.EventExceptionThrown:
			o.trouble = append(o.trouble, e.ExceptionDetails.Error())
		case *log.EventEntryAdded:
			// A form with faults is answered with a status that browsers log.
			if e.Entry.Level == log.LevelError && !strings.Contains(e.Entry.Text, "422") {
				o.trouble = append(o.trouble, e.Entry.Text)
			}
		}
	})
	o.do(t, network.Enable(), log.Enable(), chromedp.Navigate(o.address), chromedp.WaitVisible("#verdict"))
	t.Cleanup(func() {
		o.mu.Lock()
		defer o.mu.Unlock()
		assert.Empty(t, o.trouble, "errors of scripts, or blocked by the page's policy")
		for _, address := range o.requests {
			assert.Truef(t, strings.HasPrefix(address, o.address) || strings.HasPrefix(address, "data:") || strings.HasPrefix(address, "blob:"), "the page asked for %s", address)
		}
	})
	return o
}

func (o *opened) do(t testing.TB, actions ...chromedp.Action) {
	t.Helper()
	require.NoError(t, chromedp.Run(o, actions...))
}

// text of an element, with single spaces.
func (o *opened) text(t testing.TB, at string) string {
	t.Helper()
	var s string
	o.do(t, chromedp.Text(at, &s, chromedp.ByQuery))
	return strings.Join(strings.Fields(s), " ")
}

func (o *opened) value(t testing.TB, at string) string {
	t.Helper()
	var s string
	o.do(t, chromedp.Value(at, &s, chromedp.ByQuery))
	return s
}

// script is the text that a script comes to.
func (o *opened) script(t testing.TB, script string) string {
	t.Helper()
	var s string
	o.do(t, chromedp.Evaluate(script, &s))
	return s
}

// settled does something that has the answer worked out anew, and waits for it.
func (o *opened) settled(t testing.TB, actions ...chromedp.Action) {
	t.Helper()
	o.do(t, chromedp.Evaluate(`document.getElementById("answer").dataset.old = "yes"`, nil))
	o.do(t, actions...)
	o.do(t, chromedp.Poll(`!document.querySelector("#answer[data-old]") && !document.querySelector("#result.stale")`, nil, chromedp.WithPollingTimeout(10*time.Second)))
}

// fill types a value into a field that may have one.
func (o *opened) fill(t testing.TB, at, value string) {
	t.Helper()
	o.do(t, chromedp.Focus(at, chromedp.ByQuery), chromedp.Evaluate(fmt.Sprintf(`document.querySelector(%q).select()`, at), nil), chromedp.KeyEvent(value))
}

// three puts three materials in place of those that the page opens with.
func (o *opened) three(t testing.TB) {
	t.Helper()
	for range 3 {
		o.settledForm(t, chromedp.Click(`#lot-0 .drop button`, chromedp.ByQuery))
	}
	for k, lot := range threeLots {
		at := fmt.Sprintf("#lot-%d-", k)
		var there bool
		o.do(t, chromedp.Evaluate(fmt.Sprintf(`!!document.querySelector(%q)`, at+"name"), &there))
		if !there {
			o.settledForm(t, chromedp.Click("#add-lot", chromedp.ByQuery))
		}
		o.fill(t, at+"name", lot[0])
		o.fill(t, at+"amount", lot[1])
	}
	o.settled(t, chromedp.KeyEvent(kb.Tab), chromedp.Evaluate(`document.getElementById("lot-0-name").dispatchEvent(new Event("input", {bubbles: true}))`, nil))
}

// settledForm waits until the form stands anew.
func (o *opened) settledForm(t testing.TB, action chromedp.Action) {
	t.Helper()
	o.do(t, chromedp.Evaluate(`document.getElementById("plan").dataset.old = "yes"`, nil), action,
		chromedp.Poll(`!document.querySelector("#plan[data-old]")`, nil, chromedp.WithPollingTimeout(10*time.Second)))
}

var threeLots = [][2]string{{"leaves", "14 sacks"}, {"grass clippings", "5 barrows"}, {"broiler litter", "60 kg"}}

// told is what the command comes to.
func told(t testing.TB, args ...string) (a answerJSON) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(command(t, append(args, "--format", "json")...)), &a))
	return a
}

// answerJSON is as much of heapwright.mix/1 as the tests compare.
type answerJSON struct {
	Status           string  `json:"status"`
	CarbonToNitrogen float64 `json:"carbon_to_nitrogen"`
	MoisturePercent  float64 `json:"moisture_percent"`
	MassKg           float64 `json:"mass_kg"`
	VolumeM3         float64 `json:"volume_m3"`
	Ingredients      []struct {
		Name   string  `json:"name"`
		MassKg float64 `json:"mass_kg"`
	} `json:"ingredients"`
}

// posted is what the page's own form comes to as JSON.
func (o *opened) posted(t testing.TB) answerJSON {
	t.Helper()
	var text string
	o.do(t, chromedp.Evaluate(`fetch("/answer.json", {method: "POST", body: new URLSearchParams(new FormData(document.getElementById("plan")))}).then((r) => r.text())`, &text,
		func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
	var a answerJSON
	require.NoErrorf(t, json.Unmarshal([]byte(text), &a), "%s", text)
	return a
}

// TestBrowserMix adds three materials, asks for the mix, and sees the numbers
// of the command.
func TestBrowserMix(t *testing.T) {
	o := open(t)
	o.three(t)
	var args []string
	for _, lot := range threeLots {
		args = append(args, "--have", lot[0]+"="+lot[1])
	}
	want := told(t, append([]string{"mix"}, args...)...)
	assert.Equal(t, want, o.posted(t))
	shown := o.text(t, "#answer")
	assert.Equal(t, fmt.Sprintf("%.1f", want.CarbonToNitrogen), o.text(t, "#figure-ratio"))
	assert.Contains(t, o.text(t, "#figure-moisture"), fmt.Sprintf("%.1f", want.MoisturePercent))
	assert.Equal(t, want.Status, o.script(t, `document.getElementById("verdict").dataset.status`))
	for _, i := range want.Ingredients {
		assert.Contains(t, shown, i.Name)
	}
	assert.Contains(t, shown, "What limits it")
	assert.Contains(t, shown, "Manure can carry germs", "cautions stand on the page too")
	// what is read out
	o.do(t, chromedp.Poll(`document.getElementById("spoken").textContent.includes("C:N")`, nil, chromedp.WithPollingTimeout(5*time.Second)))

	o.settled(t, chromedp.Click("#mode-check", chromedp.ByQuery))
	judged := told(t, append([]string{"check"}, args...)...)
	assert.Equal(t, judged, o.posted(t))
	assert.Equal(t, fmt.Sprintf("%.1f", judged.CarbonToNitrogen), o.text(t, "#figure-ratio"))
}

// TestBrowserFault: a material that nobody knows is told, and the answer is
// marked as an old one until it is mended.
func TestBrowserFault(t *testing.T) {
	o := open(t)
	o.fill(t, "#lot-0-name", "leeves")
	o.do(t, chromedp.WaitVisible("#trouble li", chromedp.ByQuery))
	assert.Contains(t, o.text(t, "#trouble"), "Did you mean leaves")
	assert.Equal(t, "true", o.script(t, `document.getElementById("lot-0-name").getAttribute("aria-invalid")`))
	// The fault is read out with the control, and on its own once it is quiet.
	assert.Contains(t, o.script(t, `document.getElementById(document.getElementById("lot-0-name").getAttribute("aria-describedby")).textContent`), "Did you mean leaves")
	o.do(t, chromedp.Poll(`document.getElementById("spoken").textContent.startsWith("This cannot be worked out yet Leeves: ")`, nil, chromedp.WithPollingTimeout(10*time.Second)))
	o.fill(t, "#lot-0-name", "leaves")
	o.do(t, chromedp.WaitNotPresent("#trouble li", chromedp.ByQuery))
	assert.Equal(t, "null", o.script(t, `String(document.getElementById("lot-0-name").getAttribute("aria-describedby"))`))
	assert.Equal(t, "null", o.script(t, `String(document.getElementById("lot-0-name").getAttribute("aria-invalid"))`))
}

// TestBrowserAimSlider: the slider of an aim tells what its field says, whichever
// of the two was moved.
func TestBrowserAimSlider(t *testing.T) {
	o := open(t)
	const slide = `document.querySelector("[data-for=ratio]")`
	o.settled(t, chromedp.Focus("[data-for=ratio]", chromedp.ByQuery), chromedp.KeyEvent(kb.ArrowRight))
	assert.Equal(t, "30.5", o.value(t, "#ratio"))
	assert.Equal(t, "30.5", o.script(t, slide+`.getAttribute("aria-valuetext")`))
	o.fill(t, "#ratio", "28")
	assert.Equal(t, "28", o.script(t, slide+`.value`))
	assert.Equal(t, "28", o.script(t, slide+`.getAttribute("aria-valuetext")`))
}

// TestBrowserLost: when the command has ended, the answer is shown as an old one.
func TestBrowserLost(t *testing.T) {
	o := open(t)
	o.do(t, chromedp.Evaluate(`window.fetch = () => Promise.reject(new TypeError("no network"))`, nil))
	o.fill(t, "#lot-0-amount", "3 sacks")
	o.do(t, chromedp.WaitVisible("#result.stale #answer", chromedp.ByQuery))
	assert.Contains(t, o.text(t, "#trouble"), "heapwright does not answer")
}

// TestBrowserKeyboard moves an amount with the arrow keys alone, from the top
// of the page on.
func TestBrowserKeyboard(t *testing.T) {
	o := open(t)
	o.settled(t, chromedp.Click("#mode-check", chromedp.ByQuery))
	before := o.text(t, "#figure-ratio")
	o.do(t, chromedp.Evaluate(`document.activeElement.blur()`, nil))
	reached := false
	for range 30 {
		o.do(t, chromedp.KeyEvent(kb.Tab))
		if o.script(t, `document.activeElement.id`) == "lot-0-slide" {
			reached = true
			break
		}
	}
	require.True(t, reached, "the slider is reached by the tabulator")
	amount := o.value(t, "#lot-0-amount")
	o.settled(t, chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	moved := o.value(t, "#lot-0-amount")
	assert.NotEqual(t, amount, moved)
	assert.Equal(t, moved, o.script(t, `document.getElementById("lot-0-slide").getAttribute("aria-valuetext")`))
	o.do(t, chromedp.Poll(fmt.Sprintf(`document.getElementById("figure-ratio").textContent !== %q`, before), nil, chromedp.WithPollingTimeout(5*time.Second)))
	want := told(t, "check", "--have", "leaves="+moved, "--have", "grass clippings=5 barrows", "--have", "straw=2 bales")
	assert.Equal(t, want.CarbonToNitrogen, o.posted(t).CarbonToNitrogen)
	assert.Equal(t, fmt.Sprintf("%.1f", want.CarbonToNitrogen), o.text(t, "#figure-ratio"))
}

// TestBrowserPlanFile saves the plan, gives it to the command, and opens it
// again in a page that stands otherwise.
func TestBrowserPlanFile(t *testing.T) {
	o := open(t)
	o.three(t)
	o.fill(t, "#title", `Sven's "heap", north & south`)
	o.settled(t, chromedp.KeyEvent(kb.Tab), chromedp.Evaluate(`document.getElementById("title").dispatchEvent(new Event("input", {bubbles: true}))`, nil))
	want := o.posted(t)
	folder := t.TempDir()
	saved := make(chan string, 1)
	chromedp.ListenTarget(o, func(event any) {
		if e, ok := event.(*cdpbrowser.EventDownloadProgress); ok && e.State == cdpbrowser.DownloadProgressStateCompleted {
			select {
			case saved <- e.GUID:
			default:
			}
		}
	})
	o.do(t, cdpbrowser.SetDownloadBehavior(cdpbrowser.SetDownloadBehaviorBehaviorAllowAndName).WithDownloadPath(folder).WithEventsEnabled(true),
		chromedp.Click("#save", chromedp.ByQuery))
	var file string
	select {
	case guid := <-saved:
		file = filepath.Join(folder, "saved.toml")
		require.NoError(t, os.Rename(filepath.Join(folder, guid), file))
	case <-time.After(10 * time.Second):
		require.Fail(t, "the plan was not saved")
	}
	assert.Equal(t, want, told(t, "mix", file))

	o.do(t, chromedp.Navigate(o.address), chromedp.WaitVisible("#verdict"))
	assert.NotEqual(t, "broiler litter", o.value(t, "#lot-2-name"))
	o.settledForm(t, chromedp.Tasks{chromedp.SetUploadFiles("#load-file", []string{file}, chromedp.ByQuery), chromedp.Click("#load", chromedp.ByQuery)})
	assert.Equal(t, "broiler litter", o.value(t, "#lot-2-name"))
	assert.Equal(t, `Sven's "heap", north & south`, o.value(t, "#title"))
	assert.Equal(t, want, o.posted(t))

	bad := filepath.Join(folder, "bad.toml")
	require.NoError(t, os.WriteFile(bad, []byte("[on_hand]\nleaves = \"14 saks\"\n"), 0o600))
	o.do(t, chromedp.SetUploadFiles("#load-file", []string{bad}, chromedp.ByQuery), chromedp.Click("#load", chromedp.ByQuery),
		chromedp.WaitVisible("#load-trouble li", chromedp.ByQuery))
	assert.Contains(t, o.text(t, "#load-trouble"), "2")
	assert.Contains(t, o.text(t, "#load-trouble"), "sack")
	assert.Equal(t, "broiler litter", o.value(t, "#lot-2-name"), "the plan that was there stays")
}

// TestBrowserLog pastes a temperature log and reads the verdict of the command.
func TestBrowserLog(t *testing.T) {
	o := open(t)
	const file = "../../../../testdata/logs/hedge-end-bay.csv"
	csv, err := os.ReadFile(file)
	require.NoError(t, err)
	o.do(t, chromedp.SetValue("#log-text", string(csv), chromedp.ByQuery), chromedp.Click("#judge", chromedp.ByQuery),
		chromedp.WaitVisible("#log-verdict", chromedp.ByQuery))
	verdict, _, _ := strings.Cut(command(t, "log", file), "\n\n")
	assert.Contains(t, o.text(t, "#log-verdict"), strings.Join(strings.Fields(verdict), " "))
	var width int
	o.do(t, chromedp.Evaluate(`document.querySelector("#log-picture img").naturalWidth`, &width))
	assert.Positive(t, width, "the curve is drawn")
}

// TestBrowserNarrow: on a small telephone nothing runs off the side, and what
// is touched is large enough (WCAG 2.2, 2.5.8: 24 by 24 pixels).
func TestBrowserNarrow(t *testing.T) {
	o := open(t)
	o.do(t, emulation.SetDeviceMetricsOverride(320, 640, 2, true))
	o.three(t)
	o.do(t, chromedp.Evaluate(`document.querySelectorAll("details").forEach((d) => { d.open = true })`, nil))
	var beyond []string
	o.do(t, chromedp.Evaluate(`[...document.querySelectorAll("body *")].filter((e) => {
		const r = e.getBoundingClientRect();
		return r.width > 0 && r.right > innerWidth + 1 && !e.closest("pre") && getComputedStyle(e).position !== "absolute";
	}).map((e) => e.tagName + "#" + e.id + "." + e.className)`, &beyond))
	assert.Empty(t, beyond)
	var wider bool
	o.do(t, chromedp.Evaluate(`document.documentElement.scrollWidth > innerWidth`, &wider))
	assert.False(t, wider, "the page scrolls sideways")
	var small []string
	o.do(t, chromedp.Evaluate(`[...document.querySelectorAll("button, input, select, textarea, summary")].filter((e) => {
		const r = (e.type === "radio" || e.type === "checkbox" ? e.closest("p") : e).getBoundingClientRect();
		return r.width > 0 && !e.classList.contains("unseen") && (r.width < 24 || r.height < 24);
	}).map((e) => e.tagName + "#" + e.id)`, &small))
	assert.Empty(t, small)
}

// TestBrowserPrint: the print is the recipe, without the form.
func TestBrowserPrint(t *testing.T) {
	o := open(t)
	seen := func(at string) bool {
		var s bool
		o.do(t, chromedp.Evaluate(fmt.Sprintf(`(() => { const e = document.querySelector(%q); return !!e && e.getClientRects().length > 0 })()`, at), &s))
		return s
	}
	require.True(t, seen("#plan"))
	o.do(t, emulation.SetEmulatedMedia().WithMedia("print"))
	for _, at := range []string{"#plan", "#files", "#temperature", "#print"} {
		assert.Falsef(t, seen(at), "%s is printed", at)
	}
	for _, at := range []string{"#sheet-title", "#verdict", "#figures", "#ingredients table", "#cautions", "#picture img"} {
		assert.Truef(t, seen(at), "%s is not printed", at)
	}
	var sheet []byte
	o.do(t, chromedp.ActionFunc(func(ctx context.Context) (err error) {
		sheet, _, err = cdppage.PrintToPDF().WithPaperWidth(8.27).WithPaperHeight(11.69).Do(ctx)
		return err
	}))
	pages := bytes.Count(sheet, []byte("/Type /Page\n")) + bytes.Count(sheet, []byte("/Type /Page/"))
	assert.LessOrEqual(t, pages, 2, "a recipe sheet of a page or two")
	assert.True(t, bytes.HasPrefix(sheet, []byte("%PDF-")))
}

// axeFile is axe-core, which `npm ci` in .ci/browser brings.
const axeFile = "../../../../.ci/browser/node_modules/axe-core/axe.min.js"

// TestBrowserAccessible has axe-core look for what keeps people out: as the
// page opens, with an answer that is out of reach, with faults, with a log; in
// light and dark, wide and narrow.
func TestBrowserAccessible(t *testing.T) {
	axe, err := os.ReadFile(axeFile)
	if err != nil {
		t.Skip("not looked at: axe-core is not installed: cd .ci/browser && npm ci")
	}
	o := open(t)
	look := func(state string) {
		t.Helper()
		for _, scheme := range []string{"light", "dark"} {
			for _, width := range []int64{1200, 320} {
				o.do(t, emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}),
					emulation.SetDeviceMetricsOverride(width, 900, 1, false))
				var found []string
				var passes int
				o.do(t, chromedp.Evaluate(string(axe), nil), chromedp.Evaluate(`axe.run().then((r) => { window.axePasses = r.passes.length; return r.violations.map((v) => v.id + ": " + v.help + " " + v.nodes.map((n) => n.target.join(" ") + " " + n.failureSummary).join("; ")) })`, &found,
					func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }),
					chromedp.Evaluate(`window.axePasses`, &passes))
				assert.Emptyf(t, found, "%s, %s, %d pixels wide", state, scheme, width)
				assert.Greater(t, passes, 20, "rules that had something to look at")
			}
		}
	}
	look("as it opens")
	o.do(t, chromedp.Evaluate(`document.querySelectorAll("details").forEach((d) => { d.open = true })`, nil))
	look("with everything open")
	o.settled(t, chromedp.Click("#mode-check", chromedp.ByQuery))
	look("judging")
	csv, err := os.ReadFile("../../../../testdata/logs/hedge-end-bay.csv")
	require.NoError(t, err)
	o.do(t, chromedp.SetValue("#log-text", string(csv), chromedp.ByQuery), chromedp.Click("#judge", chromedp.ByQuery), chromedp.WaitVisible("#log-verdict", chromedp.ByQuery))
	look("with a log")
	o.fill(t, "#lot-0-name", "leeves")
	o.do(t, chromedp.WaitVisible("#trouble li", chromedp.ByQuery))
	look("with faults")
}

// BenchmarkBrowserKeystroke is the time from a key in an amount to the frame
// that shows the new answer, at the median.
func BenchmarkBrowserKeystroke(b *testing.B) {
	o := open(b)
	o.do(b, chromedp.Evaluate(`
		window.times = [];
		let typed = 0;
		document.addEventListener("input", () => { typed = performance.now() }, true);
		new MutationObserver((all) => {
			if (typed && all.some((m) => [...m.addedNodes].some((n) => n.id === "answer"))) {
				const from = typed;
				typed = 0;
				requestAnimationFrame(() => setTimeout(() => window.times.push(performance.now() - from)));
			}
		}).observe(document.getElementById("result"), {childList: true})`, nil), chromedp.Focus("#lot-0-slide", chromedp.ByQuery))
	keys := []string{kb.ArrowRight, kb.ArrowLeft}
	n := 0
	for b.Loop() {
		o.settled(b, chromedp.KeyEvent(keys[n%2]))
		n++
	}
	var times []float64
	o.do(b, chromedp.Sleep(100*time.Millisecond), chromedp.Evaluate(`window.times`, &times))
	require.NotEmpty(b, times)
	slices.Sort(times)
	b.ReportMetric(times[len(times)/2], "ms/median")
	b.ReportMetric(times[len(times)*95/100], "ms/95%")
	b.ReportMetric(0, "ns/op")
}
