package feedstocks

import "slices"

// Cautions that a material can carry. The set is closed: a library file that
// names another is refused.
const (
	CautionManure       = "manure"        // may carry germs that make people ill
	CautionHerbicide    = "herbicide"     // may carry weedkiller that outlives composting
	CautionMeat         = "meat"          // animal remains: vermin, smell, animal by-product law
	CautionWoodDust     = "wood-dust"     // fine wood dust: lungs, fire
	CautionDust         = "dust"          // dusty or mouldy when dry: lungs
	CautionSalt         = "salt"          // salty
	CautionInvasive     = "invasive"      // the plant can spread, and moving it may be forbidden
	CautionTreatedWood  = "treated-wood"  // may hold glue, paint or preservative
	CautionPlantDisease = "plant-disease" // may carry crop disease
	CautionCaustic      = "caustic"       // strongly alkaline: eyes, skin, and soil
	CautionDogs         = "dogs"          // poisonous to dogs
)

// Cautions lists the caution keys that a material may carry.
func Cautions() []string {
	return []string{
		CautionManure, CautionHerbicide, CautionMeat, CautionWoodDust, CautionDust, CautionSalt,
		CautionInvasive, CautionTreatedWood, CautionPlantDisease, CautionCaustic, CautionDogs,
	}
}

// CautionText puts a caution into a sentence or two for people, or gives ""
// for a key that is not in [Cautions]. The advice is common practice; local
// rules and licensed practice come first.
func CautionText(key string) string {
	switch key {
	case CautionManure:
		return "Manure can carry germs that make people ill: wash hands, compost it hot, and keep to your local wait between spreading and harvest."
	case CautionHerbicide:
		return "Grass, hay, straw and the manure of animals fed on them can carry weedkillers that survive composting: ask the supplier, and sow beans in a sample before you use the compost."
	case CautionMeat:
		return "Animal remains draw vermin and smell, and most places have rules about composting them: check yours, and bury them deep in a hot pile."
	case CautionWoodDust:
		return "Fine wood dust harms lungs and burns readily: damp it down and wear a dust mask."
	case CautionDust:
		return "Dusty or mouldy when dry: damp it down and wear a dust mask."
	case CautionSalt:
		return "Salty: rinse or drain it and use it as a small share."
	case CautionInvasive:
		return "An invasive plant in many places: check whether you may move it, and see that every part is heated through."
	case CautionTreatedWood:
		return "May hold glue, paint or preservative: leave out anything that is not known to be plain wood."
	case CautionPlantDisease:
		return "Can carry crop disease: see that all of it is heated through, or leave diseased material out."
	case CautionCaustic:
		return "Strongly alkaline: keep it off skin and out of eyes, and use little."
	case CautionDogs:
		return "Poisonous to dogs: keep it where they cannot reach it."
	}
	return ""
}

func knownCaution(key string) bool { return slices.Contains(Cautions(), key) }
