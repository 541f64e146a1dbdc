package manifest

// exampleVariety is the variety of the example row of a template, by which the row
// is known wherever it stands.
const exampleVariety = "EXAMPLE, delete this row"
