package plan

// style is the drawing's own: readable in black and white, since no meaning hangs
// on a colour. Each colour is given twice: plainly, and as a property that a page
// may set; a reader without custom properties keeps the first. Line widths are in
// the steps of ISO 128 (0.13, 0.18, 0.25, 0.35, 0.5 mm; from memory), joints finer.
// A page holds the drawing unchanged: with no quote, comment, < or rule with @ in it, the
// sheet is the same in XML and in HTML, and every class is the drawing's own.
const style = `
.plan-paper{fill:#fff;fill:var(--plan-paper,#fff)}
.plan-line{fill:none;stroke:#333;stroke:var(--plan-ink,#333);stroke-width:.25;stroke-linecap:butt;stroke-linejoin:round}
.plan-edge{stroke-width:.25}
.plan-mass{stroke-width:.35;fill:#8d867c;fill:var(--plan-mass,#8d867c)}
.plan-fine{stroke:#a39c91;stroke:var(--plan-fine,#a39c91);stroke-width:.08}
.plan-step{stroke-width:.18}
.plan-way{stroke-width:.18}
.plan-rail{stroke-width:.2}
.plan-bank{stroke-width:.13;stroke:#6d675e;stroke:var(--plan-soft,#6d675e)}
.plan-hidden{stroke-width:.18;stroke-dasharray:.8 .4;stroke:#6d675e;stroke:var(--plan-soft,#6d675e)}
.plan-damage{stroke-width:.4;stroke-dasharray:3.2 .8}
.plan-cleared{stroke:none}
.plan-scar{stroke-width:.18}
.plan-debris{stroke-width:.4;stroke-dasharray:0 1.3;stroke-linecap:round}
.plan-cut{stroke-width:.35;stroke-dasharray:6 1 1 1}
.plan-footprint{stroke-width:.6}
.plan-axis{stroke-width:.35}
.plan-stand{stroke-width:.25;stroke-dasharray:.8 .5}
.plan-tip{fill:#333;fill:var(--plan-ink,#333);stroke:none}
.plan-grid{fill:none;stroke:#7f95a3;stroke:var(--plan-grid,#7f95a3);stroke-width:.06}
.plan-frame{fill:none;stroke:#333;stroke:var(--plan-ink,#333);stroke-width:.35}
.plan-rule{fill:none;stroke:#333;stroke:var(--plan-ink,#333);stroke-width:.18}
.plan-covers{fill:#fff;fill:var(--plan-paper,#fff)}
.plan-text{font-family:sans-serif;font-size:3px;fill:#222;fill:var(--plan-ink,#222);stroke:none}
.plan-halo{stroke:#fff;stroke:var(--plan-paper,#fff);stroke-width:.9;stroke-linejoin:round;paint-order:stroke}
.plan-title{font-size:6px;font-weight:bold}
.plan-name{font-size:3.8px;font-weight:bold}
.plan-narrow{font-size:3px}
.plan-small{font-size:2.8px}
.plan-soft{fill:#5e584f;fill:var(--plan-soft,#5e584f)}
.plan-middle{text-anchor:middle}
.plan-end{text-anchor:end}
`
