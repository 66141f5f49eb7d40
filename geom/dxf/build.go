package dxf

import (
	"fmt"
	"strings"
)

// part is the part of a drawing that is read.
type part int

const (
	modelSpace  part = iota
	activeSheet      // the paper space entities among those of model space
	storedSheet      // the first paper space that is kept as a block
)

// expand builds a drawing from one part of the file, seen through root.
func (p *parser) expand(names []string, root *frame, what part) (*expander, error) {
	return p.expandOr(names, root, what, false)
}

// standing returns the turn that lays the part flat, and false if no single
// upright plane holds it.
func (p *parser) standing(names []string, root *frame, what part) (frame, bool) {
	x, err := p.expandOr(names, root, what, true)
	if err != nil {
		return frame{}, false
	}
	return plane(x.corners)
}

func (p *parser) expandOr(names []string, root *frame, what part, gather bool) (*expander, error) {
	x := &expander{
		p: p, opt: p.opt, names: names,
		d:       &Drawing{Version: p.header.version},
		layerOf: make([]int32, len(names)), upper: make([]string, len(names)), chunk: 16,
		byName: map[string]int{}, blocks: map[string]int{},
		texts: map[int32]string{}, skipped: map[skipKey]int{}, told: map[skipKey]bool{},
		faceOf: map[faceKey]int{},
		what:   what, gather: gather,
	}
	x.tables()
	if !gather {
		n := 0
		for _, s := range p.model {
			for i := s.start; i < s.end; i++ {
				if p.ents[i].kind.draws() {
					n++
				}
			}
		}
		x.d.Paths = make([]Path, 0, min(n, p.opt.MaxCurves))
		x.chunk = max(16, min(n, 4096))
	}
	ctx := context{layer: -1, color: 7, ltype: continuous}
	for _, s := range p.model {
		ents := p.ents[s.start:s.end]
		for len(ents) > 0 {
			// Runs of entities of one space.
			n, paper := 1, ents[0].flags&flagPaper
			for n < len(ents) && ents[n].flags&flagPaper == paper {
				n++
			}
			if (paper != 0) == (what == activeSheet) && what != storedSheet {
				x.walk(ents[:n], root, ctx)
			} else if what == modelSpace {
				x.skipSheet(ents[:n], root, ctx)
			}
			ents = ents[n:]
		}
	}
	for i, s := range p.paper {
		ents := p.ents[s.start:s.end]
		if i == 0 && what == storedSheet {
			x.walk(ents, root, ctx)
		} else {
			x.skipSheet(ents, root, ctx)
		}
	}
	if x.err != nil {
		return nil, x.err
	}
	x.outlines()
	for _, r := range p.repairs {
		r.Layer = names[r.layer]
		x.d.Repairs = append(x.d.Repairs, r.Repair)
	}
	x.tellRefits()
	if more := p.more + x.more; more > 0 {
		x.d.Repairs = append(x.d.Repairs, Repair{Code: "more-repairs", Line: p.s.lines,
			Text: fmt.Sprintf("%d more places like those above", more)})
	}
	return x, nil
}

// skipSheet counts what lies in paper space and reads its texts all the same:
// material and thickness often stand in a title block only.
func (x *expander) skipSheet(ents []entity, root *frame, ctx context) {
	x.sheet = true
	for i := range ents {
		e := &ents[i]
		text := e.kind == kindText || e.kind == kindMText || e.kind == kindAttrib
		if x.what == modelSpace && x.err == nil && (text || e.kind == kindInsert) && e.flags&flagRejected == 0 {
			x.entity(e, root, ctx)
		}
		if !text {
			x.skip(e, x.d.Layers[x.layer(e.layer)].Name, "paper space")
		}
	}
	x.sheet = false
}

// tables copies the layer table and indexes the blocks; of two rows with one
// name the first counts.
func (x *expander) tables() {
	for _, l := range x.p.layers {
		name := x.names[l.name]
		fold := strings.ToUpper(name)
		if _, ok := x.byName[fold]; ok {
			continue
		}
		lt := strings.ToUpper(x.names[l.ltype])
		if lt == "" {
			lt = continuous
		}
		x.byName[fold] = len(x.d.Layers)
		x.d.Layers = append(x.d.Layers, Layer{
			Name: name, Color: l.color, LineType: lt, Off: l.off, Frozen: l.frozen, NoPlot: l.np,
		})
	}
	for i := range x.p.blocks {
		fold := strings.ToUpper(x.names[x.p.blocks[i].name])
		if _, ok := x.blocks[fold]; !ok {
			x.blocks[fold] = i
		}
	}
}
