package season_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stripSeason buys straw for a cover and for batches; straw keeps.
const stripSeason = `start = 2027-03-01
weeks = 40
[batch]
least = "0.8 m3"
[on_hand]
leaves = "60 sacks"
[arrival.mowings]
material = "grass clippings"
amount = "8 barrows"
from = 2027-04-12
to = 2027-10-04
every = "1 week"
[arrival.stable]
material = "horse manure"
amount = "6 barrows"
from = 2027-03-08
to = 2027-11-01
every = "2 weeks"
keeps = "4 weeks"
[may_buy.straw]
price = "6 per bale"
most = "20 bales"
lead = "1 week"
[bay.left]
size = "2.5 m3"
hot_weeks = 6
curing_weeks = 8
[bay.right]
size = "2 m3"
hot_weeks = 6
curing_weeks = 8
[cover.strawberries]
material = "straw"
size = "15 m2 x 5 cm"
week = 12
`

// TestFewOrders: what keeps is ordered at once, as late as will do.
func TestFewOrders(t *testing.T) {
	p := solved(t, mustRead(t, stripSeason, 0))
	require.Len(t, p.Purchases, 1)
	assert.Equal(t, 12, p.Purchases[0].Week)
	assert.Equal(t, 11, p.Purchases[0].OrderWeek)
	assert.Zero(t, p.ShortM3())
}

// TestNoBedForAPrice: a bed that nothing can serve does not let another go
// short to save what would have to be bought for it.
func TestNoBedForAPrice(t *testing.T) {
	p := solved(t, mustRead(t, stripSeason+"[bed.early]\nsize = \"1 m3\"\nweek = 5\n", 0))
	assert.InDelta(t, 1, p.ShortM3(), 1e-4, "the early bed alone")
	assert.InDelta(t, 0, p.Laid[0].ShortM3, 1e-4)
	without := []string{}
	for _, e := range p.Events() {
		if e.GoesWithout() {
			without = append(without, e.Name)
		}
	}
	assert.Equal(t, []string{"early"}, without)
}
