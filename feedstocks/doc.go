// Package feedstocks says what composting materials are: how much nitrogen,
// carbon and water they hold, how heavy a cubic metre of them is, how far each
// figure can be trusted, and how the sacks and barrows they arrive in turn
// into kilograms and cubic metres.
//
// For most uses call [Default] for the built-in library, [Library.Find] for a
// material, and [Feedstock.Composition] for the numbers that the arithmetic of
// a mixture needs:
//
//	lib, err := feedstocks.Default()
//	leaves, err := lib.Find("dry leaves")
//	c, err := leaves.Composition()
//
// A grower's own measurements come in through [Read] (a library file) or
// [Entry] (one table of a plan) and are laid over the built-in figures by
// [Library.Overlay]. Quantities are read by [Measures.Parse].
//
// # Units and bases
//
// Moisture is on a wet basis: kg of water in a kg of material as received.
// Nitrogen, carbon, ash, lignin, phosphate (P2O5) and potash (K2O) are on dry
// matter. Bulk density is kg/m3 as received, loose unless the material's title
// says otherwise. C:N is a mass ratio of total carbon to total nitrogen.
// Inside the package every percentage is a fraction from 0 to 1; in files and
// in text it is per cent.
//
// # Trust
//
// Every figure carries a [Cite]: the key of a [Source] and a [Standing], which
// tells whether the figure was read in that source, derived by arithmetic from
// figures that were read, recalled from memory and not checked, or given by
// the user. A figure that nobody has published is missing and stays missing;
// a calculation that needs it gets a [MissingError] that says what to measure.
//
// # Carbon
//
// Published tables rarely give carbon, and their nitrogen and C:N are often
// separate averages whose product is an impossible carbon content (sawdust at
// 0.24 % N and 442 to one would be 106 % carbon). [Feedstock.Composition]
// says how the package settles that.
//
// Nothing here prints, keeps state between calls or changes its arguments. A
// [Library] and everything reached through it may be shared by goroutines as
// long as nobody writes to it.
package feedstocks
