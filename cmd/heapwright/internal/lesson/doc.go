// Package lesson makes work sheets for a class: problems of the compost heap
// with their answers, drawn by seed and level, and laid out as Markdown or as a
// page to print.
//
// For most uses call [Draw], then [Sheet.Markdown] or [Sheet.HTML].
//
// A problem is drawn until it is clean: its data are short decimals, every line
// of the working is exact to a few digits or rounded as the question says, and
// no rounding lies near the edge between two answers. Where an answer is used
// in the next part, the rounded one and the full one lead to the same answer
// there. So two pupils who reckon rightly write the same figures. The answers
// come from the arithmetic of packages blend, blend/pile and feedstocks, and
// the sheets agree with the tool.
//
// The same seed gives the same sheet on every machine: data are whole numbers
// out of a PCG, and answers keep clear of the last bits of a float.
package lesson
