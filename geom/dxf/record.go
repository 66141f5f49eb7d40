package dxf

// kind is the type of an entity as the reader tells them apart.
type kind uint8

const (
	kindOther kind = iota // counted, not read
	kindLine
	kindArc
	kindCircle
	kindEllipse
	kindLWPolyline
	kindPolyline
	kindSpline
	kindFace
	kindInsert
	kindText
	kindMText
	kindAttrib
	// Parts of other entities and of the file's frame.
	kindVertex
	kindSeqend
	kindBlock
	kindEndblk
	kindSection
	kindEndsec
	kindEOF
)

// kinds names the kinds as files do. Of names in capitals without blanks, which
// are most, word tells the commonest by itself.
var kinds = map[string]kind{
	"LINE": kindLine, "ARC": kindArc, "CIRCLE": kindCircle, "ELLIPSE": kindEllipse,
	"LWPOLYLINE": kindLWPolyline, "POLYLINE": kindPolyline, "SPLINE": kindSpline,
	"3DFACE": kindFace, "INSERT": kindInsert, "TEXT": kindText, "MTEXT": kindMText, "ATTRIB": kindAttrib,
	"VERTEX": kindVertex, "SEQEND": kindSeqend, "BLOCK": kindBlock, "ENDBLK": kindEndblk,
	"SECTION": kindSection, "ENDSEC": kindEndsec, "EOF": kindEOF,
}

// draws tells whether losing an entity of this kind makes a drawing partial.
func (k kind) draws() bool { return k >= kindLine && k <= kindInsert }

type flags uint8

const (
	flagPaper     flags = 1 << iota // lies in paper space
	flagInvisible                   // drawn but switched off
	flagClosed
	flagRejected // its repair says why
	flagSpatial  // a polyline with three-dimensional vertices
)

// entity is one entity as the file has it, in drawing units. Its numbers stand
// in parser.nums from off, laid out as the function that reads its kind says.
type entity struct {
	kind   kind
	flags  flags
	color  int16 // 256 by layer, 0 by block
	typ    int32 // name of the type
	layer  int32 // name
	ltype  int32 // name; 0 by layer
	name   int32 // block name of an insert
	text   int32 // index in parser.texts
	axis   int32 // index in parser.nums of the extrusion direction, or -1
	line   int
	off, n int
	handle string
}

// Colours that stand for another's.
const (
	colorByBlock = 0
	colorByLayer = 256
)

// block is a named group of entities, ents[start:end].
type block struct {
	name       int32
	base       [3]float64
	start, end int
	line       int
	external   bool // its contents are in another file
	path       string
	open       bool // being expanded now
}

// span is a run of entities in parser.ents.
type span struct{ start, end int }

// repairRecord is a Repair whose layer name is not decoded yet.
type repairRecord struct {
	Repair
	layer int32
}

// interner numbers distinct raw names; number 0 is the empty name.
type interner struct {
	index map[string]int32
	names []string
}

func newInterner() interner {
	return interner{index: map[string]int32{"": 0}, names: []string{""}}
}

// again is id for a name, blanks round it, that is likely the one met last.
func (in *interner) again(b []byte, last *int32) int32 {
	if string(b) != in.names[*last] {
		*last = in.id(trim(b))
	}
	return *last
}

func (in *interner) id(b []byte) int32 {
	if i, ok := in.index[string(b)]; ok {
		return i
	}
	s := string(b)
	i := int32(len(in.names))
	in.index[s] = i
	in.names = append(in.names, s)
	return i
}
