// Package page serves the bench page: what to measure next, the live reading,
// the window and the part to fetch for the technician; the gauges for the
// quality lead; the procedures.
//
// Every page is HTML that the server has written whole; it works without a
// script, too. A script replaces the regions of a page as they change, which one
// stream of server-sent events per page brings, and sends forms without leaving
// the page. A region is an element with an id that a template of the same name
// writes. Nothing is loaded from elsewhere, and no script or style is inline.
package page
