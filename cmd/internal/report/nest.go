package report

// Nest is how the parts of a drawing lie to each other; nil for one part.
type Nest struct {
	Used     *Num        `json:"used_share"` // of the sheet that parts cover; nil without a sheet
	Nearest  []Apart     `json:"nearest"`    // for each part its nearest neighbour, nearest first
	Overlaps [][2]string `json:"overlaps"`   // parts that overlap each other
}

// Apart is the least distance of two parts, with the two points that show it.
type Apart struct {
	Parts    [2]string `json:"parts"`
	Distance *Num      `json:"distance_mm"`
	From     [2]Num    `json:"from_mm"`
	To       [2]Num    `json:"to_mm"`
}

// Form is something that stands out of the sheet.
type Form struct {
	ID   string `json:"id"`
	X    Num    `json:"x_mm"`
	Y    Num    `json:"y_mm"`
	Name string `json:"name"` // the layer or block that says so
}
