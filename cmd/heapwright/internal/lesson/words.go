package lesson

import (
	"fmt"

	"heapwright/feedstocks"
)

// Part says which of a sheet is laid out.
type Part uint8

// The parts.
const (
	Both    Part = iota // the pupils' sheet, and the answers on a page of their own
	Pupils              // the pupils' sheet alone
	Answers             // the answer sheet alone
)

const (
	pupilsTitle  = "Work sheet: the compost heap"
	answersTitle = "Answer sheet: the compost heap"
)

// knowLines is what the sheet says before the problems.
func (s *Sheet) knowLines() []string {
	return append(s.Know[:len(s.Know):len(s.Know)],
		"Round only where a question asks for it. Where an answer is used again, the rounded one will do.",
		"Moisture, carbon, nitrogen and bulk density of materials are figures from the library of heapwright, rounded for the sheet. Samples, buckets and heaps are a class's own, made up for practice.")
}

// mindLines is what a class has to mind that handles what it reckons with
// (common practice, no source).
func (s *Sheet) mindLines() []string {
	lines := []string{
		"Wear gloves, cover cuts, eat nothing meanwhile, and wash hands with soap afterwards.",
		"Drying in an oven or microwave is an adult's work: stay with it, stop at the first smoke, and use a dish that no food goes into.",
		"Leave out manure, meat and mouldy material with young pupils. Damp down what is dusty, or wear a dust mask.",
		"A heap that is turned gives off dust and spores: stand upwind; with asthma or when easily taken ill, keep away.",
		"The core of a heap can scald: use a long thermometer, not hands.",
	}
	if s.Manure {
		lines = append(lines, feedstocks.CautionText(feedstocks.CautionManure))
	}
	return append(lines, "The rules of your school, and local rules, come first.")
}

// again is how to have the sheet once more.
func (s *Sheet) again() string {
	return fmt.Sprintf("heapwright lesson --level %s --seed %d --problems %d", s.Level, s.Seed, s.Order.Problems)
}

// letter names a question: a, b, c ...
func letter(i int) string { return string(rune('a' + i)) }
