package sim

// sentenceOf is what product.md or CHOICES.md says of a value that differs, as far as that can be told by its name.
func sentenceOf(what string) string { return sentences[what] }

var sentences = map[string]string{
	"counting":  `Evidence 1, 2: "whose", "when it counts"; CHOICES 15 to 22`,
	"compared":  `Evidence 3: "compared with each reading of that cylinder since its last fill ... apart from slips and those set aside"; CHOICES 23 to 28, 39`,
	"unsettled": `Evidence 3: "over 1.0 unsettled; another analyser, or the shop's: over 2.0 ... ends only with a witnessed reading on a calibrated analyser"`,
	"rich":      `Evidence 3: "for depth the richest of all compared counts"; air-point: "reading x 20.9 / air point"; CHOICES 25, 31`,
	"lean":      `Evidence 3: "for time the leanest"; humid-air: "reading x expected O2 / 20.9 for time"`,

	"rule improved":        `Evidence 4: slips; CHOICES 33 to 38`,
	"rule measured":        `The check, measured; CHOICES 29, 30`,
	"rule stale":           `Evidence 2; CHOICES 18 to 20`,
	"rule air-point":       `The check, air-point; CHOICES 25 to 27`,
	"rule question":        `Evidence 7: "A number for a cylinder that is being asked about leaves that cylinder not cleared"; CHOICES 45`,
	"rule same-cylinder":   `The check, same-cylinder; CHOICES 40, 41`,
	"rule no-cylinder":     `The clearance: "without a cylinder in use for the dive is not cleared"; CHOICES 1, 2`,
	"rule left":            `The clearance: "Who left, forgot or was removed ... (LEFT)"; CHOICES 6`,
	"rule speak":           `The clearance: "names helium or a closed circuit ... SPEAK TO the leader"; CHOICES 5`,
	"rule asked":           `The check, asked; CHOICES 29, 30, 50`,
	"rule card":            `The check, card; CHOICES 58, 69, 70`,
	"rule air-is-not-air":  `The check, air-is-not-air; CHOICES 29`,
	"rule no-stop":         `The check, no-stop; Numbers; CHOICES 51, 52, 72`,
	"rule oxygen-clock":    `The check, oxygen-clock; Earlier dives; CHOICES 51 to 56`,
	"rule team":            `The clearance: "a team's limit stays with who was in the team until a leader moves them"; CHOICES 12`,
	"rule leaders-limit":   `The clearance: "A leader's limit is a depth, minutes or both"; CHOICES 9 to 11`,
	"rule depth-limit":     `The check, depth-limit; CHOICES 9, 74`,
	"rule carbon-monoxide": `The check, carbon-monoxide: "the highest since the fill"; CHOICES 44`,
	"rule lean":            `The check, lean; CHOICES 73`,
	"rule bottom":          `The check, bottom; CHOICES 71`,
	"rule contingency":     `The check, contingency; CHOICES 71`,

	"max depth":   `One depth for one diver: "the shallowest of the label's MOD, the qualification, a leader's limit, deepest"; CHOICES 7, 8`,
	"max minutes": `CHOICES 13`,
	"needs":       `Interface: needs; CHOICES 14`,
	"group":       `The group: "the shallowest max and whose it is; the shortest no-stop time and whose"; CHOICES 13`,
	"teams":       `The group: "Each team the same in one line"`,
	"refusals":    `The signature: "Sign-off is refused ..."; CHOICES 66, 67`,
	"signatures":  `The signature: "A leader signs a dive"; CHOICES 66, 67`,
	"signature":   `The signature: "valid while they are the same and broken when any differs"; CHOICES 59 to 65, 76`,
}
