package feedstocks

import "math"

// singleFreedom is the degrees of freedom that what is known of a procedure
// counts for beside the readings at hand: about five earlier readings. A
// choice: enough to steady two readings, little against ten.
const singleFreedom = 4

// spreadOf returns the mean of readings and half of a 90 % range for the true
// mean. single is how far one reading of the procedure can be trusted, in the
// unit of the readings.
//
// Two or three readings say little of their own spread: they may coincide, and
// the range of Student's t for two is 3.2 times their difference either way.
// So the variance of the readings, s2 with n-1 degrees of freedom, is pooled
// with that of the procedure, s0 = single / t(4):
//
//	s = sqrt((4 s0^2 + (n-1) s2) / (4 + n-1)),  half = t(4 + n-1) s / sqrt(n)
//
// with t the 95 % point of Student's distribution. One reading gives single
// itself, many give the usual t interval, and readings that coincide are not
// taken for perfect. It is the posterior of a normal mean whose variance has a
// scaled inverse chi-squared prior (Gelman et al., Bayesian Data Analysis, from
// memory).
func spreadOf(readings []float64, single float64) (mean, half float64) {
	n := float64(len(readings))
	for _, r := range readings {
		mean += r / n
	}
	squares := 0.0
	for _, r := range readings {
		squares += (r - mean) * (r - mean)
	}
	s0 := single / student95(singleFreedom)
	freedom := singleFreedom + len(readings) - 1
	s := math.Sqrt((singleFreedom*s0*s0 + squares) / float64(freedom))
	return mean, student95(freedom) * s / math.Sqrt(n)
}

// student95 is the 95 % point of Student's distribution, which is passed by one
// in twenty: the expansion of Fisher in 1/freedom, good to one part in a
// thousand from 4 degrees of freedom up.
func student95(freedom int) float64 {
	const z = 1.6448536269514722
	v := float64(freedom)
	g1 := (z*z*z + z) / 4
	g2 := (5*math.Pow(z, 5) + 16*math.Pow(z, 3) + 3*z) / 96
	g3 := (3*math.Pow(z, 7) + 19*math.Pow(z, 5) + 17*math.Pow(z, 3) - 15*z) / 384
	g4 := (79*math.Pow(z, 9) + 776*math.Pow(z, 7) + 1482*math.Pow(z, 5) - 1920*math.Pow(z, 3) - 945*z) / 92160
	return z + g1/v + g2/(v*v) + g3/(v*v*v) + g4/(v*v*v*v)
}
