package analyze

func (a *analysis) doubtUnits() {}
