//! The circuit as a graph of spaces and joints: positions, connectivity, the file format and the rig.
