package parts

// Material is what the scene is printed in, for the estimate of mass and cost.
type Material struct {
	Name     string   `key:"name" type:"text" doc:"what it is called in the report" max:"60"`
	Density  float64  `key:"density" type:"number" unit:"g/cm3" default:"1.18" filament:"1.24" min:"0.5" max:"10" doc:"of the finished part" source:"cured resin 1.10 to 1.25, filament 1.24: data sheets, from memory"`
	Price    *float64 `key:"price" type:"number" min:"0" max:"1000000" doc:"price of a kg, in currency; left out: no cost is given, because prices differ too much to assume one"`
	Currency string   `key:"currency" type:"text" doc:"currency of the price, as the report shows it" max:"8"`
	Waste    float64  `key:"waste" type:"number" default:"0.1" min:"0" max:"1" doc:"share of all material that is lost: drips, washing, failed prints" source:"0.1 to 0.15: common practice, no source"`
	Supports float64  `key:"supports" type:"number" default:"0" min:"0" max:"2" doc:"volume of the supports as a share of the part's volume: 0 flat on the plate, otherwise usually 0.1 to 0.2" source:"cost-estimate guide (secondary)"`
}

// Check gives what of the material does not go together.
func (m Material) Check() (faults []Fault) {
	if m.Price != nil && m.Currency == "" {
		faults = append(faults, Fault{Key: "price", Text: "a price without its currency", Allowed: `currency = "..." beside it`})
	}
	return faults
}
