// Package chance says how sure a recipe is. Book values for one material
// differ by a factor of two and more, so a recipe comes to a spread of C:N,
// moisture and size; this package draws from the ranges of the library, and of
// the user's own measurements, to tell how likely the pile is to land in its
// ranges, which unknown matters most, what measuring it would bring, and which
// mix holds its ranges most surely.
//
// For most uses call [Of] with a recipe. [Shares] and [Gains] rank the
// unknowns, and [Surest] formulates a mix for a chance that is asked for.
//
// # What is unknown
//
// Each material has four unknowns at most (see [Spread] for their shapes):
// its carbon, its nitrogen (or its C:N, from which nitrogen follows: the two
// are never drawn apart, so that carbon stays possible), its moisture, and
// its bulk density, drawn as dry bulk density so that a wetter heap is a
// heavier one. Unknowns of different materials are independent.
//
// A recipe is built in the measures that it is given in: so many sacks stay
// so many sacks whatever they turn out to weigh, and so many kg stay kg
// whatever room they take.
//
// Draws are repeatable: the same recipe and seed give the same figures on any
// number of processors.
package chance
