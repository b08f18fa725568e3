package lesson

// kind is a kind of problem at one level.
type kind struct {
	level Level
	title string
	draw  func(*drawing) Problem
	joins bool // brings the other kinds together
	know  []string
}

// What a sheet says to know, but at the last level.
const (
	knowMoisture = "moisture = water / fresh weight, and water = fresh weight - dry weight"
	knowDry      = "dry matter = weight x (1 - moisture)"
	knowRatio    = "C:N = all carbon / all nitrogen: add up first, then divide. The mean of two C:N is something else."
	knowGoal     = "dry matter to add = carbon that the heap is short of / carbon that 1 kg of the addition has to spare"
	knowMix      = "moisture of a mix = all water / whole weight"
	knowVolume   = "weight = volume x bulk density"
	knowWindrow  = "volume = area of the section x length"
)

// kinds is the table of all kinds, in the order in which a sheet has them.
func kinds() []kind {
	return []kind{
		{level: Handful, title: "Moisture of a sample", draw: moistureOfSample, know: []string{knowMoisture}},
		{level: Handful, title: "C:N of two materials", draw: ratioOfDry, know: []string{knowRatio}},
		{level: Handful, title: "Weight and volume", draw: weightAndVolume, know: []string{knowVolume}},
		{level: Handful, title: "How much is in a windrow", draw: windrowVolume, know: []string{knowWindrow}},
		{level: Handful, title: "Reading a temperature log", draw: logOfOneProbe},

		{level: Bucket, title: "Moisture with a dish", draw: moistureWithDish, know: []string{knowMoisture}},
		{level: Bucket, title: "C:N of two materials as weighed", draw: ratioAsWeighed, know: []string{knowDry, knowRatio}},
		{level: Bucket, title: "How much for a goal", draw: dryForGoal, know: []string{knowGoal}},
		{level: Bucket, title: "Three materials and water", draw: threeWithWater, know: []string{knowMix, knowDry, knowRatio}},
		{level: Bucket, title: "Weighing a bucket", draw: bucketDensity, know: []string{knowVolume}},
		{level: Bucket, title: "A windrow and its weight", draw: windrowWeight, know: []string{knowWindrow, knowVolume}},
		{level: Bucket, title: "A log with two probes", draw: logOfTwoProbes},

		{level: Heap, title: "Two samples, and water to add", draw: samplesAndWater},
		{level: Heap, title: "Sacks for a goal", draw: sacksForGoal},
		{level: Heap, title: "Three materials, and the water they lack", draw: threeAndLack},
		{level: Heap, title: "Filling a bay", draw: bayFill},
		{level: Heap, title: "How long a windrow", draw: windrowLength},
		{level: Heap, title: "A log held against a rule", draw: logAgainstRule},
		{level: Heap, title: "From the scales to the windrow", draw: scalesToWindrow, joins: true},
	}
}

// kindsOf lists the kinds of a level.
func kindsOf(l Level) []kind {
	var out []kind
	for _, k := range kinds() {
		if k.level == l {
			out = append(out, k)
		}
	}
	return out
}
