// Package blend says what a mix of composting materials is and finds the mix
// that a grower wants: the proportions and the water that bring a pile to a
// carbon-to-nitrogen ratio (C:N) and a moisture.
//
// For most uses read a plan with [ReadPlan], turn it into a [Problem] with
// [Plan.Problem], and call [Formulate] for the best mix or [Judge] for the mix
// that the plan already names. Both return a [Recipe]. The arithmetic alone is
// in [Mixture].
//
// # Arithmetic
//
// For as-received masses x_i (kg) with moisture m_i (wet basis), carbon c_i
// and nitrogen n_i (of dry matter), bulk density rho_i (kg/m3), and added
// water w (kg):
//
//	C:N          = sum x(1-m)c / sum x(1-m)n
//	moisture     = (sum xm + w) / (sum x + w)
//	loose volume = sum x/rho
//	built volume = (1 - shrink) * loose volume
//	bulk density = (sum x + w) / built volume
//
// A C:N of a mix is a ratio of sums, never a mean of ratios.
//
// # Formulation
//
// For a pile with target C:N r (range [r-, r+]) and moisture q (range
// [q-, q+]) the distance of a mix from its target is
//
//	d = max(|C:N - r| / h, |moisture - q| / h')
//
// where h and h' run from the aim to the edge of its range on the side where
// the mix lies: d = 0 is on target, d <= 1 within the ranges. [Formulate]
// minimises d over the amounts x and w that obey the stock, the least amounts,
// the shares and the limits of the pile; among the nearest mixes it takes the
// largest pile up to the size wanted; among those the one closest to the
// proportions on hand, which makes the answer unique.
//
// Inside, masses are in kg, volumes in m3 and percentages are fractions.
package blend
