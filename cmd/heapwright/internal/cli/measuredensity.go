package cli

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"heapwright/feedstocks"
)

func measureDensityCommand() command {
	return command{
		name:  "measure density",
		short: "bulk density from a bucket on a scale",
		long: `Bulk density, kg/m3 as received, from a bucket weighed empty and full.

Loose (--filled loose), for recipes and beside the figures of the library:
  1. Weigh the empty bucket, or set the scale to zero with it on.
  2. Scoop the material in without pressing it, and strike it level.
  3. Weigh it. Do it three times, from different parts of the heap.
Dropped (--filled dropped), for how the material lies in a pile:
  fill a third and let the bucket fall squarely from 30 cm (1 ft) ten times;
  fill to two thirds, ten drops; fill, ten drops; top up level, no drop; weigh.

The volume is the one up to where you fill. Better than the maker's figure:
weigh the bucket with water in it up to there, and give --water-full; or pour in
a known volume, mark the line, fill to it and say --to-line.
The range: from how the fills differ, steadied by what one fill is good to (10 %
either way; common practice, no source). One fill has that alone.

Mind your back with a full bucket, and dust and mould when material is dry.

  heapwright measure density --volume "10 L" --empty "0.6 kg" \
      --full "4.9 kg" --full "5.2 kg" --full "5.0 kg"`,
		setup: func(flags *pflag.FlagSet) run {
			bucket := addBucketFlags(flags)
			common := addMeasureFlags(flags)
			return func(_ context.Context, args []string, io streams) error {
				layout, err := common.layout(args)
				if err != nil {
					return err
				}
				finding, err := bucket.density()
				if err != nil {
					return err
				}
				return common.tell(io, layout, finding)
			}
		},
	}
}

// bucketFlags are the weights of a vessel.
type bucketFlags struct {
	volume, waterFull, empty, filled string
	full                             []string
	toLine                           bool
}

func addBucketFlags(flags *pflag.FlagSet) *bucketFlags {
	b := &bucketFlags{}
	flags.StringVar(&b.volume, "volume", "", "what the bucket holds, up to where you fill it, as in \"10 L\" (`volume`)")
	flags.StringVar(&b.waterFull, "water-full", "", "instead of --volume: `weight` of the bucket with water up to there")
	flags.StringVar(&b.empty, "empty", "", "`weight` of the empty bucket; \"0 kg\" where the scale took it off")
	flags.StringArrayVar(&b.full, "full", nil, "`weight` of bucket and material; repeat for each fill")
	flags.StringVar(&b.filled, "filled", "loose", "how it was filled: `loose or dropped`")
	flags.BoolVar(&b.toLine, "to-line", false, "it was filled to a line marked with measured water")
	return b
}

// any reports whether one of the flags was given.
func (b *bucketFlags) any() bool {
	return b.volume != "" || b.waterFull != "" || b.empty != "" || len(b.full) > 0
}

func (b *bucketFlags) density() (*feedstocks.Finding, error) {
	bucket := feedstocks.Bucket{ToLine: b.toLine || b.waterFull != ""}
	switch b.filled {
	case "loose":
	case "dropped":
		bucket.Filling = feedstocks.Dropped
	default:
		return nil, &usageError{fmt.Sprintf("--filled cannot be %q", b.filled), "it is loose or dropped"}
	}
	if b.empty == "" {
		return nil, &usageError{"what does the empty bucket weigh?", `give --empty "0.6 kg", or --empty "0 kg" where the scale took it off`}
	}
	if len(b.full) == 0 {
		return nil, &usageError{"what does the full bucket weigh?", `give --full "4.9 kg", once for each fill`}
	}
	var err error
	if bucket.EmptyKg, err = weight("empty", b.empty); err != nil {
		return nil, err
	}
	for _, text := range b.full {
		kg, err := weight("full", text)
		if err != nil {
			return nil, err
		}
		bucket.FullKg = append(bucket.FullKg, kg)
	}
	switch {
	case b.volume != "" && b.waterFull != "":
		return nil, &usageError{"--volume and --water-full exclude each other", "leave one of them out"}
	case b.volume != "":
		bucket.VolumeM3, err = volume("volume", b.volume)
	case b.waterFull != "":
		bucket.VolumeM3, err = b.holds(bucket.EmptyKg)
	default:
		err = &usageError{"what does the bucket hold?", `give --volume "10 L", or --water-full with its weight full of water`}
	}
	if err != nil {
		return nil, err
	}
	return bucket.Density()
}

// waterKgM3 is the density of water in a bucket.
const waterKgM3 = 1000

// holds finds the volume from the weight with water.
func (b *bucketFlags) holds(emptyKg float64) (float64, error) {
	kg, err := weight("water-full", b.waterFull)
	if err != nil {
		return 0, err
	}
	if kg <= emptyKg {
		return 0, &usageError{fmt.Sprintf("--water-full: the bucket with water (%s) is no heavier than empty (%s)", b.waterFull, b.empty), "give both with the bucket"}
	}
	return (kg - emptyKg) / waterKgM3, nil
}
