// Package house is what of a house stands between its walls: storeys and roofs.
package house
