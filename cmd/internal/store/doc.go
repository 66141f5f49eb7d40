// Package store keeps what a run found for the runs after it: entries under a
// key, in files of a folder. It knows nothing of what it keeps.
//
// An entry is found or it is not; whatever is wrong with the folder, a file in
// it or the disk, no run fails for it. An entry is written under a temporary
// name and renamed, so that two runs at once, or one that is killed, leave whole
// entries only; a file that is damaged all the same does not pass its checksums
// and counts as absent. Nothing is locked.
//
// Words: a key is the hash of everything that an entry depends on; a section is
// one of an entry's values, packed and read by itself; a shelf is a folder of entries whose
// keys begin alike, with its share of the store's size.
package store
