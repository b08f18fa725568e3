package feedstocks

import (
	"slices"
	"strings"
)

// leftOut is a kind of thing that is usually kept out of a pile. A name is of
// the kind when it holds all words of one of phrases, or is one of names.
type leftOut struct {
	phrases []string
	names   []string
	why     string
}

// usuallyLeftOut lists what the trade keeps out of an open pile. Common
// practice, no source; local rules come first.
func usuallyLeftOut() []leftOut {
	return []leftOut{
		{
			phrases: []string{"diseased", "blight", "blighted", "clubroot", "club root", "white rot", "virus"},
			why:     "diseased plants are usually left out: what makes them ill can outlive a pile that is not hot all through",
		},
		{
			phrases: append(each("dog cat puppy kitten kitty pet", "litter dropping poo poop dung faeces feces mess muck manure waste excrement"), "litter tray"),
			why:     "droppings and litter of dogs and cats are usually left out: they can carry worms and germs that make people ill and that outlive a garden pile",
		},
		{
			phrases: append(each("treated painted varnished stained creosoted preserved", "wood timber lumber sawdust shaving chip fence post decking"),
				"mdf", "osb", "plywood", "chipboard", "particleboard", "railway sleeper"),
			why: "treated, painted or glued wood is usually left out: preservatives, paint and glue stay in the compost",
		},
		{
			phrases: []string{"coal", "briquette ash", "barbecue ash", "bbq ash"},
			why:     "ash of coal and briquettes is usually left out: it can hold sulphur and heavy metals",
		},
		{
			phrases: append(each("coated waxed laminated plastic thermal", "paper card cardboard"),
				"glossy", "magazine", "receipt", "milk carton", "drink carton"),
			why: "glossy and coated paper is usually left out: its film and coating do not break down",
		},
		{
			phrases: []string{"meat", "bacon", "ham", "sausage", "carcass", "carcase", "mince", "fish scrap", "fish bone", "fish skin", "chicken bone"},
			names:   []string{"fish", "raw fish", "cooked fish", "bone", "beef", "pork", "lamb"},
			why:     "meat and fish scraps are usually left out of an open pile: they draw vermin and smell, and many places have rules about animal remains",
		},
		{
			phrases: []string{"cheese", "milk", "yoghurt", "yogurt", "dairy product", "ice cream"},
			names:   []string{"dairy", "dairy waste", "dairy scrap", "butter", "cream", "curd"},
			why:     "dairy is usually left out of an open pile: it draws vermin and smells sour",
		},
		{
			phrases: []string{"fat", "grease", "lard", "tallow", "suet", "margarine", "cooking oil", "frying oil", "vegetable oil", "engine oil", "used oil"},
			names:   []string{"oil"},
			why:     "fat and oil are usually left out: they keep air and water from what they coat, and draw vermin",
		},
		{
			phrases: []string{"weed", "couch grass", "bindweed", "knotweed", "ground elder", "horsetail", "mare tail", "creeping buttercup", "oxalis"},
			why:     "weeds in seed or with roots that run are usually left out: a pile that is not hot all through gives them back; young weeds without either may go in as green stuff",
		},
	}
}

// each joins every one of some words with every one of others.
func each(some, others string) []string {
	var all []string
	for a := range strings.FieldsSeq(some) {
		for b := range strings.FieldsSeq(others) {
			all = append(all, a+" "+b)
		}
	}
	return all
}

// LeftOut says why a thing of this name is usually left out of a pile, in a
// clause without full stop; "" for all others. It goes by words of the name:
// common practice, no source, and local rules come first.
func LeftOut(name string) string {
	key := nameKey(name)
	words := strings.Fields(key)
	holds := func(phrase string) bool {
		for w := range strings.FieldsSeq(nameKey(phrase)) {
			if !slices.Contains(words, w) {
				return false
			}
		}
		return true
	}
	for _, kind := range usuallyLeftOut() {
		is := func(n string) bool { return nameKey(n) == key }
		if slices.ContainsFunc(kind.phrases, holds) || slices.ContainsFunc(kind.names, is) {
			return kind.why
		}
	}
	return ""
}
