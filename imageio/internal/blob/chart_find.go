package blob

// TiledSide is the first of them whose colours tell where a small chart may be.
const TiledSide = 1024
