// Package season plans compost for a market garden: what beds ask for, and in
// which weeks to build which batches so that they get it.
//
// For beds alone, read sizes with [ParseSize], make [Bed]s with [NewBed] and
// add them up with [Beds.Need]. For a season read a [File], turn it into a
// [Season] with [File.Season], and call [Solve]; the [Plan] has batches,
// purchases, stocks and [Plan.Events].
//
// # Program
//
// For stocks k (a material with one keeping time), classes of bays c, kinds of
// bays h in them and weeks t, with x used, w water added, b bought, l left at
// the end of a week (all kg), y batches begun (whole) and s what beds lack (m3):
//
//	l_kt <= l_kt-1 + came_kt + b_kt - sum_c x_ckt - laid_kt
//	l_kt <= what came and was bought within the keeping time
//	C:N and moisture of x_c.t, w_ct within the target's ranges
//	sum_h least y_cht <= built volume of x_c.t <= sum_h size_h y_cht
//	sum of y_cht over the weeks that a batch fills a bay <= bays of the kind
//	compost ready by t >= what beds want by t - s
//
// In order, each held before the next: least s (earlier beds first), least
// bought, least spoiled (the slack of the first row), fewest batches, least
// distance from the targets. Compost is counted at the usual share of the
// built volume that is left, [blend.VolumeLeft].
//
// Weeks are counted from 1; masses are in kg, volumes in m3, shares from 0 to 1.
package season
