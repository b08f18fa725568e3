package pile

import "time"

const (
	hour = time.Hour
	aDay = 24 * time.Hour

	// The longest gap between two readings over which a pile is taken to have
	// held the lower of them: a day and a little, for a thermometer read once
	// a day; a quarter of an hour where a rule wants a continuous record.
	// Judgements: the texts give none.
	daily   = 26 * time.Hour
	quarter = 15 * time.Minute
)

// Rules lists the criteria that a log can be held against, by country. The
// list is made anew for each call. Figures that were recalled and not checked
// against the text have the standing [FromMemory].
func Rules() []Rule {
	f131, f170 := ruledIn131(), ceiling170()
	startRatio := struct{ Low, High float64 }{25, 40}
	return []Rule{
		{
			Key: "us-organic-turned", Name: "US organic rule, turned windrow", Usual: true,
			Source:   "7 CFR 205.203(c)(2), Code of Federal Regulations 2011 (govinfo.gov)",
			Standing: PartlySeen, Keeping: Turning, Binds: "certified organic farms that compost animal material",
			From: f131, Ceiling: f170, Days: 15, Turns: 5,
			CarbonToNitrogen: startRatio,
		},
		{
			Key: "us-organic-still", Name: "US organic rule, vessel or aerated static pile",
			Source:   "7 CFR 205.203(c)(2), Code of Federal Regulations 2011 (govinfo.gov)",
			Standing: PartlySeen, Keeping: Still, Binds: "certified organic farms that compost animal material",
			From: f131, Ceiling: f170, Days: 3,
			CarbonToNitrogen: startRatio,
		},
		{
			Key: "us-organic-guidance", Name: "US organic guidance, any pile mixed so that all of it heats", Usual: true,
			Source:   "guidance NOP 5021 (2011), ams.usda.gov",
			Standing: Seen, Keeping: AnyPile, Binds: "certified organic farms, in place of the rule above",
			From: f131, Days: 3,
			Needs: []string{"all of the material must have its three days: turn or mix so that the outside comes in"},
		},
		{
			Key: "us-produce-turned", Name: "US produce-safety rule, turned compost", Usual: true,
			Source:   "21 CFR 112.54(b)(2); figures as given by Michigan State University Extension",
			Standing: FromMemory, Keeping: Turning, Binds: "US farms under the produce-safety rule",
			From: f131, Days: 15, Turns: 5, Counting: OneByOne,
			Needs:  []string{"adequate curing, for which the text gives no days"},
			Remark: "the figures are from memory, and an extension page that was read agrees with them",
		},
		{
			Key: "us-produce-still", Name: "US produce-safety rule, static aerobic compost",
			Source:   "21 CFR 112.54(b)(1); figures as given by Michigan State University Extension",
			Standing: FromMemory, Keeping: Still, Binds: "US farms under the produce-safety rule",
			From: f131, Days: 3, Counting: Unbroken,
			Needs:  []string{"adequate curing, for which the text gives no days"},
			Remark: "the figures are from memory, and an extension page that was read agrees with them",
		},
		{
			Key: "us-sludge-turned", Name: "US biosolids rule, class A, turned windrow",
			Source:   "40 CFR 503 appendix B; its older twin, 40 CFR 257 appendix II, was read",
			Standing: FromMemory, Keeping: Turning, Binds: "compost with sewage sludge; many states copy it for other compost",
			From: celsius(55), Days: 15, Turns: 5,
		},
		{
			Key: "us-sludge-still", Name: "US biosolids rule, class A, vessel or aerated static pile",
			Source:   "40 CFR 503 appendix B; its older twin, 40 CFR 257 appendix II, was read",
			Standing: FromMemory, Keeping: Still, Binds: "compost with sewage sludge; many states copy it for other compost",
			From: celsius(55), Days: 3,
		},
		{
			Key: "us-sludge-b", Name: "US biosolids rule, class B",
			Source:   "40 CFR 503 appendix B; its older twin, 40 CFR 257 appendix II, was read",
			Standing: FromMemory, Keeping: AnyPile, Binds: "compost with sewage sludge",
			Test: Block, From: celsius(40), Days: 5, Peak: celsius(55), PeakFor: 4 * hour, Gap: daily,
		},
		{
			Key: "us-vector", Name: "US biosolids rule, so that flies and vermin stay away",
			Source:   "40 CFR 503.33(b)(5); the Texas copy, 30 TAC 312.83, was partly seen",
			Standing: FromMemory, Keeping: AnyPile, Binds: "compost with sewage sludge",
			Test: Block, From: celsius(40), Above: true, Days: 14, Mean: celsius(45),
			Needs: []string{"aerobic throughout"},
		},
		{
			Key: "us-curve", Name: "US biosolids rule, time-temperature curve",
			Source:   "40 CFR 503.32(a)(3) as copied in North Carolina, 15A NCAC 02T .1106",
			Standing: Seen, Keeping: AnyPile, Binds: "compost with sewage sludge, class A",
			Test: Curve, From: celsius(50), Length: 20 * time.Minute, Gap: daily,
			Needs: []string{"7 % solids or more, as any compost pile has"},
		},
		{
			Key: "us-nrcs", Name: "US farm conservation practice 317",
			Source:   "job sheet of NRCS practice 317 (docest.com copy)",
			Standing: Seen, Keeping: AnyPile, Binds: "farms with cost-share; guidance",
			Test: Reach, From: f131, Ceiling: f170, Days: 7,
			Remark: "the text has the band reached within about 7 days, held for up to 14, and 43 C (110 F) or more afterwards; it gives no least number of days, so only the reaching is judged",
		},
		{
			Key: "california-turned", Name: "California rule, turned windrow",
			Source:   "14 CCR 17868.3 (San Joaquin County copy)",
			Standing: Seen, Keeping: Turning, Binds: "permitted facilities in California",
			From: f131, Days: 15, Turns: 5,
			Needs: []string{"a reading every day, 30 to 60 cm (12 to 24 in) deep, one for each 46 m (150 ft) of windrow or 153 m3 (200 yd3)", "aerobic throughout"},
		},
		{
			Key: "california-still", Name: "California rule, vessel or insulated aerated static pile",
			Source:   "14 CCR 17868.3 (the words on insulation from memory)",
			Standing: FromMemory, Keeping: Still, Binds: "permitted facilities in California",
			From: f131, Days: 3,
			Needs: []string{"a reading every day, 30 to 46 cm (12 to 18 in) in from the insulation"},
		},
		{
			Key: "canada-turned", Name: "Canadian guideline, turned windrow",
			Source:   "CCME Guidelines for Compost Quality (2005) and CAN/BNQ 0413-200",
			Standing: FromMemory, Keeping: Turning, Binds: "compost that is sold or given away; not own use",
			From: celsius(55), Days: 15, Turns: 5,
		},
		{
			Key: "canada-still", Name: "Canadian guideline, vessel or insulated aerated static pile",
			Source:   "CCME Guidelines for Compost Quality (2005) and CAN/BNQ 0413-200",
			Standing: FromMemory, Keeping: Still, Binds: "compost that is sold or given away; not own use",
			From: celsius(55), Days: 3,
		},
		{
			Key: "ontario-turned", Name: "Ontario standard, turned windrow",
			Source:   "Ontario Compost Quality Standards (2012)",
			Standing: FromMemory, Keeping: Turning, Binds: "facilities; backyard and on-farm composting are out of scope",
			From: celsius(55), Days: 15, Turns: 5,
			Remark: "that backyards and farms are out of scope was read; the figures are from memory",
		},
		{
			Key: "ontario-still", Name: "Ontario standard, vessel",
			Source:   "Ontario Compost Quality Standards (2012)",
			Standing: FromMemory, Keeping: Still, Binds: "facilities; backyard and on-farm composting are out of scope",
			From: celsius(55), Days: 3, Counting: Unbroken,
			Remark: "that backyards and farms are out of scope was read; the figures are from memory",
		},
		{
			Key: "australia-low", Name: "Australian standard, turned, low-risk material",
			Source:   "AS 4454-2012",
			Standing: FromMemory, Keeping: Turning, Binds: "those who take it up or hold a permit; not own use",
			Test: HotBeforeTurns, From: celsius(55), Days: 3, Counting: Unbroken, Turns: 3,
		},
		{
			Key: "australia-high", Name: "Australian standard, turned, higher-risk material",
			Source:   "AS 4454-2012; an Australian code with the same figures was read",
			Standing: FromMemory, Keeping: Turning, Binds: "those who take it up or hold a permit; not own use",
			From: celsius(55), Days: 15, Turns: 5,
		},
		{
			Key: "australia-still", Name: "Australian standard, vessel",
			Source:   "AS 4454-2012",
			Standing: FromMemory, Keeping: Still, Binds: "those who take it up or hold a permit; not own use",
			From: celsius(55), Above: true, Days: 3, Counting: Unbroken,
		},
		{
			Key: "eu-byproducts", Name: "EU animal by-products rule",
			Source:   "Regulation (EU) 142/2011, annex V (legislation.gov.uk)",
			Standing: Seen, Keeping: AnyPile, Binds: "plants that take animal by-products",
			Test: Hold, From: celsius(70), Length: hour, Gap: quarter,
			Needs: []string{"pieces of 12 mm or less", "recorded continuously"},
		},
		{
			Key: "eu-byproducts-validated", Name: "EU animal by-products rule, by validation of the plant",
			Source:   "Regulation (EU) 142/2011, annex V, chapter III section 2 (legislation.gov.uk)",
			Standing: Seen, Keeping: AnyPile, Binds: "plants that take animal by-products",
			Test:   Validation,
			Needs:  []string{"a trial that shows 5 log10 fewer Enterococcus faecalis or Salmonella Senftenberg, and where it matters 3 log10 less of a heat-resistant virus"},
			Remark: "EFSA (2020) did not take 55 C for 72 h or 60 C for 48 h at 200 mm as shown",
		},
		{
			Key: "uk-catering-housed", Name: "UK national rule for catering waste, housed windrow",
			Source:   "SI 2006/1293 (Wales), schedule 1 part II (legislation.gov.uk)",
			Standing: Seen, Keeping: Turning, Binds: "plants that take animal by-products",
			From: celsius(60), Days: 8, Turns: 3, TurnGap: 2,
			Needs: []string{"pieces of 40 cm or less", "under a roof", "a second stage, or no meat and 18 days of storage"},
		},
		{
			Key: "uk-catering-closed-60", Name: "UK national rule for catering waste, closed vessel at 60 C",
			Source:   "SI 2006/1293 (Wales), schedule 1 part II (legislation.gov.uk)",
			Standing: Seen, Keeping: Still, Binds: "plants that take animal by-products",
			Test: Hold, From: celsius(60), Length: 2 * aDay, Gap: daily,
			Needs: []string{"pieces of 40 cm or less", "a second stage, or no meat and 18 days of storage"},
		},
		{
			Key: "uk-catering-closed-70", Name: "UK national rule for catering waste, closed vessel at 70 C",
			Source:   "SI 2006/1293 (Wales), schedule 1 part II (legislation.gov.uk)",
			Standing: Seen, Keeping: Still, Binds: "plants that take animal by-products",
			Test: Hold, From: celsius(70), Length: hour, Gap: quarter,
			Needs: []string{"pieces of 6 cm or less", "a second stage, or no meat and 18 days of storage"},
		},
		{
			Key: "uk-pas100", Name: "UK specification PAS 100, as it recommends",
			Source:   "PAS 100",
			Standing: FromMemory, Keeping: AnyPile, Binds: "those who take it up",
			From: celsius(65), Days: 7, Turns: 2,
			Needs: []string{"51 % moisture or more"},
		},
		{
			Key: "germany-55", Name: "German bio-waste ordinance, two weeks at 55 C", Usual: true,
			Source:   "BioAbfV (2012), annex 2 no. 2.2.2.1 (copy of the Bundestag)",
			Standing: Seen, Keeping: Turning, Binds: "bio-waste plants; not home or allotment gardens",
			From: celsius(55), Days: 14, Counting: UnbrokenIfPossible,
			Needs: germanNeeds(),
		},
		{
			Key: "germany-60", Name: "German bio-waste ordinance, six days at 60 C",
			Source:   "BioAbfV (2012), annex 2 no. 2.2.2.1 (copy of the Bundestag)",
			Standing: Seen, Keeping: Turning, Binds: "bio-waste plants; not home or allotment gardens",
			From: celsius(60), Days: 6, Counting: UnbrokenIfPossible,
			Needs: germanNeeds(),
		},
		{
			Key: "germany-65", Name: "German bio-waste ordinance, three days at 65 C",
			Source:   "BioAbfV (2012), annex 2 no. 2.2.2.1 (copy of the Bundestag)",
			Standing: Seen, Keeping: Turning, Binds: "bio-waste plants; not home or allotment gardens",
			From: celsius(65), Days: 3, Counting: UnbrokenIfPossible,
			Needs: germanNeeds(),
		},
		{
			Key: "germany-pasteurised", Name: "German bio-waste ordinance, pasteurised in a vessel",
			Source:   "BioAbfV (2012), annex 2 (copy of the Bundestag)",
			Standing: Seen, Keeping: Still, Binds: "bio-waste plants; not home or allotment gardens",
			Test: Hold, From: celsius(70), Length: hour, Gap: quarter, Counting: Unbroken,
			Needs: []string{"pieces of 12 mm or less", "all of the material at once"},
		},
		{
			Key: "who-week", Name: "World Health Organization guideline, one week over 50 C", Usual: true,
			Source:   "WHO guidelines for the safe use of wastewater, excreta and greywater (2006), volume 4",
			Standing: FromMemory, Keeping: AnyPile, Binds: "nobody; guidance for excreta",
			From: celsius(50), Above: true, Days: 7,
			Needs: []string{"all of the material"},
		},
		{
			Key: "study-50", Name: "two weeks over 50 C with mixing, from a trial",
			Source:   "C. Niwagaba, thesis on treatment of faeces (cedat.mak.ac.ug)",
			Standing: Seen, Keeping: AnyPile, Binds: "nobody; a finding on enterococci",
			From: celsius(50), Above: true, Days: 14,
			Needs: []string{"mixed"},
		},
		{
			Key: "study-55", Name: "two weeks at 55 C, from a trial",
			Source:   "J. Germer et al. (2010)",
			Standing: Seen, Keeping: AnyPile, Binds: "nobody; a finding",
			From: celsius(55), Days: 14,
		},
		{
			Key: "five-by-three", Name: "rule of thumb: five turnings, three days at 55 C before each", Usual: true,
			Source:   "S. Brown, University of Washington (nwbiosolids.org)",
			Standing: Seen, Keeping: Turning, Binds: "nobody; a rule of thumb, so that each part has its turn in the core",
			Test: HotBeforeTurns, From: celsius(55), Days: 3, Turns: 5,
		},
	}
}

func germanNeeds() []string {
	return []string{"40 % moisture or more", "all of the material: edge, core and base are read each working day", "the turnings recorded"}
}
