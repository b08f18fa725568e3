package cli

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"heapwright/feedstocks"
)

func measureSheetCommand() command {
	return command{
		name:  "measure sheet",
		short: "a laboratory sheet, brought onto dry matter and checked",
		long: `The figures of a laboratory sheet, brought onto the bases that heapwright
reckons with (moisture of the wet weight, the rest of dry matter) and held
against one another.

Look for the basis on the sheet: "dry", "dry matter", "DM" is --basis dry; "as
received", "as is", "fresh" is --basis as-received, and needs the moisture.
Shares are per cent unless their unit stands with them: "24 g/kg", "3600 mg/kg".
Type the figures with the digits that the sheet has: they show its rounding, and
carbon, nitrogen and C:N that cannot be roundings of one truth are refused.
Carbon is held against ash too: (100 - ash) / 1.8, good to a tenth.

For a sheet worth its price take some 15 handfuls over the heap, mix, send half
a litre cool and closed, and say whether you want figures on dry matter.

  heapwright measure sheet --basis as-received --moisture "62 %" \
      --carbon 17.1 --nitrogen 0.91 --carbon-to-nitrogen 18.8 --ash 5.2`,
		setup: func(flags *pflag.FlagSet) run {
			sheet := addSheetFlags(flags)
			common := addMeasureFlags(flags)
			return func(_ context.Context, args []string, io streams) error {
				layout, err := common.layout(args)
				if err != nil {
					return err
				}
				s, err := sheet.sheet()
				if err != nil {
					return err
				}
				finding, err := s.Figures()
				if err != nil {
					return err
				}
				return common.tell(io, layout, finding)
			}
		},
	}
}

// sheetFlags are the figures of a sheet.
type sheetFlags struct {
	basis, ratio, density string
	shares                []*sheetShare
}

// sheetShare is a flag for a share of mass.
type sheetShare struct {
	name, text, usage string
	into              func(*feedstocks.Sheet) *feedstocks.Reported
}

func addSheetFlags(flags *pflag.FlagSet) *sheetFlags {
	s := &sheetFlags{shares: []*sheetShare{
		{name: "moisture", usage: "moisture, `per cent` of the wet weight", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Moisture }},
		{name: "dry-matter", usage: "dry matter, `per cent` of the wet weight, instead of moisture", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.DryMatter }},
		{name: "carbon", usage: "total carbon (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Carbon }},
		{name: "nitrogen", usage: "total nitrogen (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Nitrogen }},
		{name: "ash", usage: "ash (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Ash }},
		{name: "organic-matter", usage: "organic matter, as loss on ignition (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.OrganicMatter }},
		{name: "phosphorus", usage: "phosphorus, P (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Phosphorus }},
		{name: "phosphate", usage: "phosphorus as P2O5 (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Phosphate }},
		{name: "potassium", usage: "potassium, K (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Potassium }},
		{name: "potash", usage: "potassium as K2O (`share`)", into: func(s *feedstocks.Sheet) *feedstocks.Reported { return &s.Potash }},
	}}
	flags.StringVar(&s.basis, "basis", "", "what the shares are of: `dry or as-received`")
	for _, share := range s.shares {
		flags.StringVar(&share.text, share.name, "", share.usage)
	}
	flags.StringVar(&s.ratio, "carbon-to-nitrogen", "", "C:N, to one, as in `29`")
	flags.StringVar(&s.density, "bulk-density", "", "bulk `density` as received, as in \"420 kg/m3\"")
	return s
}

func (s *sheetFlags) sheet() (feedstocks.Sheet, error) {
	var sheet feedstocks.Sheet
	if s.basis != "" {
		basis, ok := feedstocks.ParseBasis(s.basis)
		if !ok {
			return sheet, &usageError{fmt.Sprintf("--basis cannot be %q", s.basis), "it is dry or as-received"}
		}
		sheet.Basis = basis
	}
	for _, share := range s.shares {
		if share.text == "" {
			continue
		}
		v, err := feedstocks.ParseReported(share.text)
		if err != nil {
			return sheet, flagQuantity(share.name, err, "")
		}
		*share.into(&sheet) = v
	}
	var err error
	if s.ratio != "" {
		if sheet.CarbonToNitrogen, err = feedstocks.ParseReportedRatio(s.ratio); err != nil {
			return sheet, flagQuantity("carbon-to-nitrogen", err, "")
		}
	}
	if s.density != "" {
		if sheet.BulkDensityKgM3, err = feedstocks.ParseDensity(s.density); err != nil {
			return sheet, flagQuantity("bulk-density", err, "")
		}
	}
	return sheet, nil
}
