package cli

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/feedstocks"
)

func helpCommand() command {
	return command{
		name:  "help",
		args:  "[COMMAND | TOPIC]",
		short: "explain a command, or how to write a plan or season",
		long:  "Explain a command, or one of the topics:\n\n  plan         how to write a plan file\n  season-file  how to write the file of a season\n  measures     units, vessels, and heaped against level",
		setup: func(*pflag.FlagSet) run {
			return func(_ context.Context, args []string, io streams) error {
				switch {
				case len(args) == 0:
					return writeOverview(io.out)
				}
				if c, ok := find(strings.Join(args, " ")); ok {
					return writeHelp(io.out, c)
				}
				if len(args) > 1 {
					return &usageError{"help explains one thing at a time", "type heapwright help " + args[0]}
				}
				topics := map[string]func() string{"plan": func() string { return planHelp }, "season-file": func() string { return seasonHelp }, "measures": measuresHelp}
				if topic, ok := topics[args[0]]; ok {
					_, err := fmt.Fprintln(io.out, topic())
					return err
				}
				names := []string{"plan", "season-file", "measures"}
				for _, c := range commands() {
					names = append(names, c.name)
				}
				return &usageError{fmt.Sprintf("there is no help on %q", args[0]), nearOr(args[0], names, "type heapwright help for the list")}
			}
		},
	}
}

const overview = `heapwright plans compost piles: from what is on hand, in sacks and barrows, to
how much of each to put in, how much water to add, and what that comes to.

Usage: heapwright COMMAND [FLAGS] [ARGUMENTS]

Commands:
%s
Start here:
  heapwright mix --have "leaves=14 sacks" --have "grass clippings=5 barrows"
  heapwright help plan        how to write the same into a file
  heapwright help measures    units, vessels, and heaped against level

Exit codes: 0 done; 1 heapwright failed; 2 the words, the file or its values are
off; 3 it ran, and the answer is no (the target is out of reach); 130 stopped.
`

func writeOverview(w io.Writer) error {
	var b strings.Builder
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-12s%s\n", c.name, c.short)
	}
	_, err := fmt.Fprintf(w, overview, b.String())
	return err
}

func writeHelp(w io.Writer, c command) error {
	flags, _ := flagSet(c)
	usage := "heapwright " + c.name
	if flags.HasFlags() {
		usage += " [FLAGS]"
	}
	if c.args != "" {
		usage += " " + c.args
	}
	var text strings.Builder
	text.WriteString(fmt.Sprintf("Usage: %s\n\n%s\n", usage, c.long))
	for i, sub := range c.sub {
		if i == 0 {
			text.WriteString("\n")
		}
		text.WriteString(fmt.Sprintf("  %-18s %s\n", sub.name, sub.short))
	}
	if flags.HasFlags() {
		text.WriteString("\nFlags:\n" + flags.FlagUsagesWrapped(80))
	}
	_, err := io.WriteString(w, text.String())
	return err
}

const planHelp = `A plan is a TOML file. Only [on_hand] is needed; everything else has a default.

  title = "Hedge-end bay, second week of November"

  [target]
  carbon_to_nitrogen = 30               # aim, to one
  carbon_to_nitrogen_range = [25, 35]   # what is still good
  moisture = 55                         # aim, per cent of the whole weight
  moisture_range = [50, 60]

  [pile]
  size = "1.5 m3"        # wanted; left out: as large as the stock allows
  largest = "3 m3"       # what the bay holds
  water = "300 L"        # at hand; left out: as much as needed; "0 L": none
  mixing_shrink = 0.2    # share of volume lost when materials nest together
  densest = "650 kg/m3"  # most bulk density; left out: no limit
  air_at_least = "30 %"  # least free air space; left out: no limit
  prefer = "target"      # or "largest", "cheapest", "fewest" (materials)

  [measures]             # your own vessels, filled level
  barrow = "85 L"
  sack = "110 L"

  [on_hand]
  leaves = "14 sacks"
  "grass clippings" = { amount = "5 barrows", moisture = 78, at_least = "2 barrows" }
  "hen litter" = { feedstock = "broiler litter", amount = "60 kg",
                   share_at_most = "25 %", price = "4.50 per sack" }

  [may_get]              # what could be got if the mix needs it: the most of it
  straw = { amount = "10 bales", price = "5 per bale" }

  [feedstock."hop waste"]     # your own material, or your own numbers
  nitrogen = 3.1              # per cent of dry matter; or [low, high], or
  carbon_to_nitrogen = 14     #   [low, typical, high]
  moisture = 70
  bulk_density = "420 kg/m3"
  source = "laboratory sheet, 3 November"

Share limits are shares of the volume. "heapwright check" reads the same file,
takes [on_hand] as the recipe, and adds only the water that [pile] gives.`

const seasonHelp = `A season is a TOML file. It needs weeks, a bay, and something that comes.

  title = "Two acres above the ford"
  start = 2027-03-01           # first day of week 1; then weeks may be dates
  weeks = 40
  compost = "0.9 m3"           # finished compost at hand at the start

  [target]                     # as in a plan; [target_from.12] from week 12 on
  carbon_to_nitrogen = 30

  [batch]                      # all optional
  least = "1 m3"               # no batch is smaller
  most = "3 m3"                # none larger, whatever the bay
  water_a_week = "500 L"
  loads_a_week = "60 barrows"  # or hours_a_week = 6 with hours_per_m3 = 1.5

  [measures]                   # as in a plan
  barrow = "90 L"

  [on_hand]                    # at the start
  leaves = "90 sacks"

  [arrival.mowings]            # what comes: once, or every so often
  material = "grass clippings" # left out: the name itself
  amount = ["6 barrows", "9 barrows", "12 barrows"]  # least, likely, most; or one
  from = 2027-04-05            # from, to and every ("2 weeks"); or week = 5
  to = 2027-10-04
  keeps = "1 week"             # usable in the week it comes and no later

  [may_buy.straw]
  price = "5.50 per bale"
  most_a_week = "10 bales"     # or most = "30 bales" in all
  lead = "1 week"

  [bay.north]
  size = "3 m3"                # built volume
  hot_weeks = 5                # left out: 6 and 8
  curing_weeks = 8             # on a heap elsewhere; cures_in_bay = true if not
  free_from = 3

  [bed.leeks]
  size = "6 of 0.75 m x 15 m x 10 mm"   # or a rate, or a volume
  week = 2027-07-05

  [cover.garlic]               # a mulch of raw material, from the same stock
  material = "leaves"
  size = "20 m2 x 6 cm"
  week = 37

  [cover_crop."rye after leeks"]
  frost = 2026-10-25           # sown four to six weeks before the first hard
                               # frost; left out: frost at the top of the file
  material = "young rye"       # what it yields; left out: the name itself. Its
                               # moisture and bulk density go under [feedstock]
  amount = "9 barrows"         # or "40 m2 at 2 kg/m2", or least, likely, most;
  week = 2027-04-19            # and when it is cut: it comes like an arrival.
  keeps = "2 weeks"            # All four left out: it is only sown

  [feedstock."hop waste"]      # as in a plan

  [done.north-1]               # what really happened, for --week
  week = 6
  bay = "north"
  put_in = { leaves = "22 sacks", "grass clippings" = "9 barrows" }
  water = "40 L"
  [done.wet-may]               # what came in a week instead of what was to come
  week = 10
  arrived = { "grass clippings" = "4 barrows" }`

func measuresHelp() string {
	var b strings.Builder
	b.WriteString(`A quantity is a number and a unit: "14 sacks", "2,5 m3", "1 1/2 barrows".

Weights: kg, g, t, lb, oz, short ton.
Volumes: L, mL, m3, ft3, yd3, US gal, imperial gal, bushel.
Vessels, and how large they are taken to be until you give your own size with
[measures] in a plan or --measure "barrow=90 L":

`)
	for _, m := range feedstocks.DefaultMeasures().List() {
		for i, line := range wrapAt(m.Note, 80-22) {
			name := m.Name
			if i > 0 {
				name = ""
			}
			fmt.Fprintf(&b, "  %-18s  %s\n", name, line)
		}
	}
	b.WriteString(`
Heaped against level: every vessel is taken as filled level with its rim. A
heap on top is worth about a tenth more on a bucket and a quarter to a third
more on a barrow, and makers often quote barrows heaped (common practice, no
source). The heap is a cone: it adds r tan(a) / 3h for a straight-sided vessel
of radius r and depth h, with a the angle at which the material stands, 30 to
40 degrees (common practice, no source). So a heaped bushel holds 1.278 struck
ones (NIST Handbook 44, Appendix C). Strike it level, or give the heaped size as
your own measure.`)
	return b.String()
}

// wrapAt breaks text into lines of at most width characters.
func wrapAt(text string, width int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		switch {
		case line == "":
			line = word
		case len(line)+1+len(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}
