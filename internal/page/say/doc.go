// Package say writes what the page shows of measurements: values with their units,
// limits, intervals and what a part would leave, in the page's language.
package say
