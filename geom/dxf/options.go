package dxf

// Options steers reading. The zero value means the defaults named at each field.
type Options struct {
	// Units overrides the drawing's own units: "mm", "cm", "m", "inch", "ft",
	// "mil" and the other names of UnitNames. Empty: the drawing decides.
	Units string
	// CurveTolerance is the largest distance in mm between an ellipse or spline
	// and the arcs that stand for it. Default 0.001, at least 1e-7.
	CurveTolerance float64
	// KeepChords leaves polylines as they are. Else runs of chords that stand
	// for a curve become tangent arcs (see geom.RefitChords and its defaults,
	// with CurveTolerance for the vertices); the repair chords-refitted says how
	// many and how near.
	KeepChords bool
	// MaxBytes bounds the file size that Read accepts. Default 1 GiB.
	MaxBytes int64
	// MaxEntities bounds the entities visited while blocks are expanded, each
	// cell of an array counted, and large entities once more for every eight
	// numbers they hold and every eight arcs that they become. Default 2,000,000; entities outside blocks are bounded
	// by the file's size.
	MaxEntities int
	// MaxCurves bounds the lines and arcs of all paths together; at 72 bytes
	// a curve it bounds memory too. Default 4,000,000.
	MaxCurves int
	// MaxDepth bounds the nesting of blocks. Default 64.
	MaxDepth int
	// MaxRepairs bounds the repairs that are kept one by one; the rest are
	// summed in a last record. Default 1,000.
	MaxRepairs int
}

const (
	defaultTolerance   = 1e-3
	leastTolerance     = 1e-7
	defaultMaxBytes    = 1 << 30
	defaultMaxEntities = 2_000_000
	defaultMaxCurves   = 4_000_000
	defaultMaxDepth    = 64
	defaultMaxRepairs  = 1_000
)

// withDefaults fills in every field that is not set.
func (o Options) withDefaults() Options {
	if !(o.CurveTolerance > 0) {
		o.CurveTolerance = defaultTolerance
	}
	o.CurveTolerance = max(o.CurveTolerance, leastTolerance)
	if o.MaxBytes <= 0 {
		o.MaxBytes = defaultMaxBytes
	}
	if o.MaxEntities <= 0 {
		o.MaxEntities = defaultMaxEntities
	}
	if o.MaxCurves <= 0 {
		o.MaxCurves = defaultMaxCurves
	}
	if o.MaxDepth <= 0 {
		o.MaxDepth = defaultMaxDepth
	}
	if o.MaxRepairs <= 0 {
		o.MaxRepairs = defaultMaxRepairs
	}
	return o
}
