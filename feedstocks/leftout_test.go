package feedstocks_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/feedstocks"
)

// Common practice, no source.
func TestUsuallyLeftOut(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	for name, why := range map[string]string{
		"meat": "vermin", "Meat scraps": "vermin", "raw meat": "vermin", "fish": "vermin", "chicken carcasses": "vermin", "bones": "vermin",
		"cheese": "dairy", "sour milk": "dairy", "dairy": "dairy",
		"cooking oil": "fat and oil", "fats & oils": "fat and oil", "bacon fat": "vermin",
		"cat litter": "worms", "used cat-litter": "worms", "dog poo": "worms", "dog's droppings": "worms", "pet waste": "worms",
		"diseased tomato": "ill", "blighted potato tops": "ill",
		"weeds": "seed", "weeds in seed": "seed", "bindweed roots": "seed", "couch grass": "seed",
		"painted wood": "paint", "treated timber": "paint", "treated wood chips": "paint", "MDF": "glue",
		"coal ash": "heavy metals", "barbecue ash": "heavy metals",
		"glossy paper": "coating", "magazines": "coating", "waxed cardboard": "coating",
	} {
		_, err := lib.Find(name)
		var unknown *feedstocks.UnknownError
		require.ErrorAs(t, err, &unknown, name)
		assert.Contains(t, unknown.Hint(), why, name)
		assert.Contains(t, unknown.Hint(), "local rules", name)
		assert.Contains(t, unknown.Hint(), "[feedstock.", name)
		assert.NotContains(t, unknown.Hint(), "did you mean", name)
	}
	for _, name := range []string{
		"seaweed", "sea wed", "wood chips", "oak timber", "dog hair", "oilseed cake", "fish meal", "bone meal", "charcoal", "butter beans",
		"dairy manur", "litter", "meadow hay", "oatmeal", "hamper", "paper", "",
	} {
		assert.Empty(t, feedstocks.LeftOut(name), name)
	}
	// What the library has is found under its own name and aliases, whatever
	// words these hold; a slip of the finger is no reason to keep it from them.
	for _, f := range lib.All() {
		_, err := lib.Find(f.Name)
		assert.NoError(t, err, f.Name)
	}
	_, err = lib.Find("fish scrap")
	assert.NoError(t, err)
	_, err = lib.Find("meat-bird liter")
	var unknown *feedstocks.UnknownError
	require.ErrorAs(t, err, &unknown)
	assert.Contains(t, unknown.Hint(), "did you mean broiler litter?")
}

// A name that leads to a fault of its own is no good suggestion.
func TestUsableNamesAreOfferedFirst(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	for _, name := range []string{"wood chips", "woodchips", "chips"} {
		_, err := lib.Find(name)
		var unknown *feedstocks.UnknownError
		require.ErrorAs(t, err, &unknown, name)
		require.NotEmpty(t, unknown.Near, name)
		first, err := lib.Find(unknown.Near[0])
		require.NoError(t, err)
		_, err = first.Composition()
		assert.NoError(t, err, "%s: %v", name, unknown.Near)
	}
	// but a slip of the finger means what it is near to
	_, err = lib.Find("hardwod chips")
	var unknown *feedstocks.UnknownError
	require.ErrorAs(t, err, &unknown)
	assert.Equal(t, "hardwood chips", unknown.Near[0])
}
