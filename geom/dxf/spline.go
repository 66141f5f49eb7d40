package dxf

type splineGroups struct{}

func (s *splineGroups) reset()                 {}
func (p *parser) splineGroup(e *entity, c int) {}
func (p *parser) finishSpline(e *entity)       {}
func (d *draft) spline(f *frame)               { d.refuse("spline", "spline") }
