package main

import "fmt"

// The two styles of a whole file: the old one has sections and tables only,
// the newer one an owner and a handle for everything.

func (d *drawing) writeOld(f *file) {
	f.put(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, d.version)
	if d.units != 0 {
		f.put(9, "$INSUNITS", 70, d.units)
	}
	f.put(0, "ENDSEC")
	f.put(0, "SECTION", 2, "TABLES")
	f.put(0, "TABLE", 2, "LTYPE", 70, 2)
	d.linetypes(f, func(name string) { f.put(0, "LTYPE", 2, name, 70, 0) })
	f.put(0, "ENDTAB")
	f.put(0, "TABLE", 2, "LAYER", 70, len(d.layers))
	for _, l := range d.layers {
		f.put(0, "LAYER", 2, l.name, 70, 0, 62, l.color, 6, l.linetype)
	}
	f.put(0, "ENDTAB", 0, "ENDSEC")
	f.put(0, "SECTION", 2, "BLOCKS")
	for _, b := range d.blocks {
		f.put(0, "BLOCK", 8, "0", 2, b.name, 70, 0, 10, "0.0", 20, "0.0", 30, "0.0", 3, b.name)
		f.entities(b.body, "")
		f.put(0, "ENDBLK", 8, "0")
	}
	f.put(0, "ENDSEC")
	f.put(0, "SECTION", 2, "ENTITIES")
	f.entities(d.model.body, "")
	f.put(0, "ENDSEC", 0, "EOF")
}

// linetypes writes the two that the demo uses; head writes what the style
// wants before the pattern.
func (d *drawing) linetypes(f *file, head func(name string)) {
	head("CONTINUOUS")
	f.put(3, "solid", 72, 65, 73, 0, 40, "0.0")
	head("DASHED")
	f.put(3, "dashes", 72, 65, 73, 2, 40, "6.0", 49, "4.0")
	if !f.old {
		f.put(74, 0)
	}
	f.put(49, "-2.0")
	if !f.old {
		f.put(74, 0)
	}
}

// Owners of the newer style. Handles are fixed, so that a file never changes
// without its drawing.
const (
	hViewports = "1"
	hLinetypes = "2"
	hLayers    = "3"
	hStyles    = "4"
	hViews     = "5"
	hUCS       = "6"
	hAppIDs    = "7"
	hDimStyles = "8"
	hRecords   = "9"
	hModel     = "A"
	hPaper     = "B"
	hRoot      = "C"
	hGroups    = "D"
)

func (d *drawing) writeNew(f *file) {
	f.put(0, "SECTION", 2, "HEADER")
	f.put(9, "$ACADVER", 1, d.version)
	f.put(9, "$DWGCODEPAGE", 3, "ANSI_1252")
	f.put(9, "$INSUNITS", 70, d.units)
	metric := 1
	if d.units == inch {
		metric = 0
	}
	f.put(9, "$MEASUREMENT", 70, metric)
	f.put(9, "$HANDSEED", 5, "FFFFF")
	f.put(0, "ENDSEC")
	d.tables(f)

	f.put(0, "SECTION", 2, "BLOCKS")
	body := func(name, record string, tags []tag) {
		f.put(0, "BLOCK", 5, f.next(), 330, record, 100, "AcDbEntity", 8, "0", 100, "AcDbBlockBegin",
			2, name, 70, 0, 10, "0.0", 20, "0.0", 30, "0.0", 3, name, 1, "")
		f.entities(tags, record)
		f.put(0, "ENDBLK", 5, f.next(), 330, record, 100, "AcDbEntity", 8, "0", 100, "AcDbBlockEnd")
	}
	body("*Model_Space", hModel, nil)
	body("*Paper_Space", hPaper, nil)
	for i, b := range d.blocks {
		body(b.name, blockRecord(i), b.body)
	}
	f.put(0, "ENDSEC")

	f.put(0, "SECTION", 2, "ENTITIES")
	f.entities(d.model.body, hModel)
	f.put(0, "ENDSEC")
	f.put(0, "SECTION", 2, "OBJECTS")
	f.put(0, "DICTIONARY", 5, hRoot, 330, "0", 100, "AcDbDictionary", 281, 1, 3, "ACAD_GROUP", 350, hGroups)
	f.put(0, "DICTIONARY", 5, hGroups, 330, hRoot, 100, "AcDbDictionary", 281, 1)
	f.put(0, "ENDSEC", 0, "EOF")
}

func blockRecord(i int) string { return fmt.Sprintf("%X", 0x20+i) }

func (d *drawing) tables(f *file) {
	table := func(name, handle string, rows int) {
		f.put(0, "TABLE", 2, name, 5, handle, 330, "0", 100, "AcDbSymbolTable", 70, rows)
	}
	row := func(kind, table, subclass string) {
		f.put(0, kind, 5, f.next(), 330, table, 100, "AcDbSymbolTableRecord", 100, subclass)
	}
	end := func() { f.put(0, "ENDTAB") }

	f.put(0, "SECTION", 2, "TABLES")
	table("VPORT", hViewports, 0)
	end()
	table("LTYPE", hLinetypes, 4)
	for _, name := range []string{"ByBlock", "ByLayer"} {
		row("LTYPE", hLinetypes, "AcDbLinetypeTableRecord")
		f.put(2, name, 70, 0, 3, "", 72, 65, 73, 0, 40, "0.0")
	}
	d.linetypes(f, func(name string) {
		row("LTYPE", hLinetypes, "AcDbLinetypeTableRecord")
		f.put(2, name, 70, 0)
	})
	end()
	table("LAYER", hLayers, len(d.layers))
	for _, l := range d.layers {
		row("LAYER", hLayers, "AcDbLayerTableRecord")
		f.put(2, l.name, 70, 0, 62, l.color, 6, l.linetype)
	}
	end()
	table("STYLE", hStyles, 1)
	row("STYLE", hStyles, "AcDbTextStyleTableRecord")
	f.put(2, "Standard", 70, 0, 40, "0.0", 41, "1.0", 50, "0.0", 71, 0, 42, "2.5", 3, "txt", 4, "")
	end()
	table("VIEW", hViews, 0)
	end()
	table("UCS", hUCS, 0)
	end()
	table("APPID", hAppIDs, 1)
	row("APPID", hAppIDs, "AcDbRegAppTableRecord")
	f.put(2, "ACAD", 70, 0)
	end()
	f.put(0, "TABLE", 2, "DIMSTYLE", 5, hDimStyles, 330, "0", 100, "AcDbSymbolTable", 70, 0, 100, "AcDbDimStyleTable")
	end()
	table("BLOCK_RECORD", hRecords, 2+len(d.blocks))
	record := func(handle, name string) {
		f.put(0, "BLOCK_RECORD", 5, handle, 330, hRecords, 100, "AcDbSymbolTableRecord", 100, "AcDbBlockTableRecord", 2, name)
	}
	record(hModel, "*Model_Space")
	record(hPaper, "*Paper_Space")
	for i, b := range d.blocks {
		record(blockRecord(i), b.name)
	}
	end()
	f.put(0, "ENDSEC")
}
