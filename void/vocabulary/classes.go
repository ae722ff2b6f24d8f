package vocabulary

import (
	"slices"
	"strings"
)

// What an element of a building model may become.
const (
	AsZone    = "zone"    // a row of its trade
	AsAbove   = "above"   // a row of its trade, where it reaches over the ceiling; in the room it is left out
	AsRoom    = "room"    // a bay, or several
	AsCeiling = "ceiling" // the ceiling of the bays under it
	AsSoffit  = "soffit"  // the soffit of the bays under it
	AsOpening = "opening" // a row of openings.csv
	AsCover   = "cover"   // the insulation of what it is on
	AsDrop    = "drop"    // nothing
)

// Becomes returns what an element may become, in fixed order.
func Becomes() []string {
	return []string{AsZone, AsAbove, AsRoom, AsCeiling, AsSoffit, AsOpening, AsCover, AsDrop}
}

// ClassEntry says what elements of a building model become. Of the lines that fit an element the first counts. Patterns are in any
// case; * stands for anything; "" fits all.
type ClassEntry struct {
	Class      string // as ISO 16739 writes it; in 2x3 that of the type, where the element's own says only how it is used
	Predefined string // pattern of the predefined type
	Name       string // pattern of the name, the type's name or the object type
	System     string // pattern of a system's name or predefined type
	Becomes    string
	Trade      string
	Service    string // "" where the system says it
	Kind       string
	Why        string
}

const (
	named     = "its class says so"
	carries   = "what it carries decides the trade"
	inTheRoom = "stands in the room; counts where it reaches over the ceiling"
	noVoid    = "not in a void"
)

// modelClasses is common practice, no source, where ISO 16739 does not say itself what a class is.
var modelClasses = []ClassEntry{
	// The building.
	{Class: "IfcSpace", Becomes: AsRoom, Why: "rooms are where ceilings are"},
	{Class: "IfcCovering", Predefined: "CEILING", Becomes: AsCeiling, Why: named},
	{Class: "IfcCovering", Predefined: "INSULATION", Becomes: AsCover, Why: named},
	{Class: "IfcCovering", Predefined: "WRAPPING", Becomes: AsCover, Why: named},
	{Class: "IfcCovering", Name: "*ceiling*", Becomes: AsCeiling, Why: "called a ceiling"},
	{Class: "IfcCovering", Becomes: AsDrop, Why: "finishes of floors and walls are not in a void"},
	{Class: "IfcOpeningElement", Predefined: "RECESS", Becomes: AsDrop, Why: "does not go through"},
	{Class: "IfcOpeningElement", Becomes: AsOpening, Why: named},
	{Class: "IfcOpeningStandardCase", Becomes: AsOpening, Why: named},
	{Class: "IfcSlab", Predefined: "LANDING", Becomes: AsDrop, Why: "part of a stair"},
	{Class: "IfcSlab", Name: "*finish*", Becomes: AsDrop, Why: "a floor finish carries nothing"},
	{Class: "IfcSlab", Becomes: AsSoffit, Why: named},
	{Class: "IfcSlabStandardCase", Becomes: AsSoffit, Why: named},
	{Class: "IfcSlabElementedCase", Becomes: AsSoffit, Why: named},
	{Class: "IfcRoof", Becomes: AsSoffit, Why: named},
	{Class: "IfcPlate", Name: "*glaz*", Becomes: AsDrop, Why: "a pane of a curtain wall"},
	{Class: "IfcPlate", Name: "*panel*", Becomes: AsDrop, Why: "a pane of a curtain wall"},
	{Class: "IfcPlate", Predefined: "CURTAIN_PANEL", Becomes: AsDrop, Why: "a pane of a curtain wall"},
	{Class: "IfcPlate", Becomes: AsSoffit, Why: "a deck"},
	{Class: "IfcBeam", Name: "*joist*", Becomes: AsZone, Trade: "structure", Kind: "joist", Why: "called a joist"},
	{Class: "IfcBeam", Name: "*purlin*", Becomes: AsZone, Trade: "structure", Kind: "purlin", Why: "called a purlin"},
	{Class: "IfcBeam", Becomes: AsZone, Trade: "structure", Kind: "beam", Why: named},
	{Class: "IfcBeamStandardCase", Becomes: AsZone, Trade: "structure", Kind: "beam", Why: named},
	{Class: "IfcMember", Name: "*purlin*", Becomes: AsZone, Trade: "structure", Kind: "purlin", Why: "called a purlin"},
	{Class: "IfcMember", Predefined: "PURLIN", Becomes: AsZone, Trade: "structure", Kind: "purlin", Why: named},
	{Class: "IfcMember", Predefined: "BRACE", Becomes: AsZone, Trade: "structure", Kind: "brace", Why: named},
	{Class: "IfcMember", Predefined: "MULLION", Becomes: AsDrop, Why: "part of a curtain wall"},
	{Class: "IfcMember", Predefined: "STRINGER", Becomes: AsDrop, Why: "part of a stair"},
	{Class: "IfcMember", Name: "*mullion*", Becomes: AsDrop, Why: "part of a curtain wall"},
	{Class: "IfcMember", Name: "*stair*", Becomes: AsDrop, Why: "part of a stair"},
	{Class: "IfcMember", Becomes: AsAbove, Trade: "structure", Kind: "beam", Why: "level members carry a floor"},
	{Class: "IfcMemberStandardCase", Becomes: AsAbove, Trade: "structure", Kind: "beam", Why: "level members carry a floor"},
	{Class: "IfcColumn", Becomes: AsAbove, Trade: "structure", Kind: "column", Why: inTheRoom},
	{Class: "IfcColumnStandardCase", Becomes: AsAbove, Trade: "structure", Kind: "column", Why: inTheRoom},
	{Class: "IfcWall", Becomes: AsAbove, Trade: "partitions", Kind: "wall", Why: inTheRoom},
	{Class: "IfcWallStandardCase", Becomes: AsAbove, Trade: "partitions", Kind: "wall", Why: inTheRoom},
	{Class: "IfcWallElementedCase", Becomes: AsAbove, Trade: "partitions", Kind: "wall", Why: inTheRoom},
	{Class: "IfcDoor", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcDoorStandardCase", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcWindow", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcWindowStandardCase", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcCurtainWall", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcStair", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcStairFlight", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcRamp", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcRampFlight", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcRailing", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcFooting", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcPile", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcSite", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcGeographicElement", Becomes: AsDrop, Why: noVoid},
	{Class: "IfcVirtualElement", Becomes: AsDrop, Why: "no body"},
	{Class: "IfcReinforcingBar", Becomes: AsDrop, Why: "in the concrete"},
	{Class: "IfcReinforcingMesh", Becomes: AsDrop, Why: "in the concrete"},
	{Class: "IfcSpatialZone", Becomes: AsDrop, Why: "no body"},

	// Air.
	{Class: "IfcDuctSegment", Predefined: "FLEXIBLESEGMENT", Becomes: AsZone, Trade: "ductwork", Kind: "flexible", Why: named},
	{Class: "IfcDuctSegment", Becomes: AsZone, Trade: "ductwork", Kind: "duct", Why: named},
	{Class: "IfcDuctFitting", Becomes: AsZone, Trade: "ductwork", Kind: "duct fitting", Why: named},
	{Class: "IfcDuctSilencer", Becomes: AsZone, Trade: "ductwork", Kind: "attenuator", Why: named},
	{Class: "IfcDamper", Predefined: "*FIRE*", Becomes: AsZone, Trade: "ductwork", Kind: "fire damper", Why: named},
	{Class: "IfcDamper", Predefined: "*SMOKE*", Becomes: AsZone, Trade: "ductwork", Kind: "fire damper", Why: named},
	{Class: "IfcDamper", Becomes: AsZone, Trade: "ductwork", Kind: "damper", Why: named},
	{Class: "IfcAirTerminalBox", Becomes: AsZone, Trade: "ductwork", Kind: "terminal unit", Why: named},
	{Class: "IfcAirTerminal", Predefined: "GRILLE", Becomes: AsZone, Trade: "ductwork", Kind: "grille", Why: named},
	{Class: "IfcAirTerminal", Predefined: "REGISTER", Becomes: AsZone, Trade: "ductwork", Kind: "grille", Why: named},
	{Class: "IfcAirTerminal", Becomes: AsZone, Trade: "ductwork", Kind: "diffuser", Why: named},
	{Class: "IfcFan", Becomes: AsZone, Trade: "ductwork", Kind: "fan", Why: named},
	{Class: "IfcUnitaryEquipment", Predefined: "AIRHANDLER", Becomes: AsZone, Trade: "ductwork", Kind: "air handling unit", Why: named},
	{Class: "IfcUnitaryEquipment", Becomes: AsZone, Trade: "mechanical", Kind: "unit", Why: named},
	{Class: "IfcAirToAirHeatRecovery", Becomes: AsZone, Trade: "ductwork", Kind: "heat recovery unit", Why: named},
	{Class: "IfcCoil", Becomes: AsZone, Trade: "ductwork", Kind: "heater battery", Why: named},
	{Class: "IfcFilter", Predefined: "*STRAINER*", Becomes: AsZone, Trade: "pipework", Kind: "strainer", Why: named},
	{Class: "IfcFilter", Becomes: AsZone, Trade: "ductwork", Kind: "filter", Why: named},
	{Class: "IfcHumidifier", Becomes: AsZone, Trade: "ductwork", Kind: "unit", Why: named},

	// Water.
	{Class: "IfcPipeSegment", System: "FIREPROTECTION", Becomes: AsZone, Trade: "sprinklers", Kind: "sprinkler pipe", Why: carries},
	{Class: "IfcPipeSegment", System: "*sprinkler*", Becomes: AsZone, Trade: "sprinklers", Kind: "sprinkler pipe", Why: carries},
	{Class: "IfcPipeFitting", System: "FIREPROTECTION", Becomes: AsZone, Trade: "sprinklers", Kind: "pipe fitting", Why: carries},
	{Class: "IfcPipeFitting", System: "*sprinkler*", Becomes: AsZone, Trade: "sprinklers", Kind: "pipe fitting", Why: carries},
	{Class: "IfcPipeSegment", Predefined: "FLEXIBLESEGMENT", Becomes: AsZone, Trade: "pipework", Kind: "flexible", Why: named},
	{Class: "IfcPipeSegment", Predefined: "GUTTER", Becomes: AsDrop, Why: "outside"},
	{Class: "IfcPipeSegment", Becomes: AsZone, Trade: "pipework", Kind: "pipe", Why: named},
	{Class: "IfcPipeFitting", Becomes: AsZone, Trade: "pipework", Kind: "pipe fitting", Why: named},
	{Class: "IfcValve", Becomes: AsZone, Trade: "pipework", Kind: "valve", Why: named},
	{Class: "IfcPump", Becomes: AsZone, Trade: "pipework", Kind: "pump", Why: named},
	{Class: "IfcTank", Becomes: AsZone, Trade: "mechanical", Kind: "unit", Why: named},
	{Class: "IfcFlowMeter", Becomes: AsZone, Trade: "pipework", Kind: "meter", Why: named},
	{Class: "IfcBoiler", Becomes: AsAbove, Trade: "mechanical", Kind: "unit", Why: inTheRoom},
	{Class: "IfcChiller", Becomes: AsAbove, Trade: "mechanical", Kind: "unit", Why: inTheRoom},
	{Class: "IfcHeatExchanger", Becomes: AsAbove, Trade: "mechanical", Kind: "unit", Why: inTheRoom},
	{Class: "IfcSpaceHeater", Becomes: AsAbove, Trade: "pipework", Kind: "radiator", Why: inTheRoom},
	{Class: "IfcCooledBeam", Becomes: AsZone, Trade: "pipework", Kind: "chilled beam", Why: named},
	{Class: "IfcInterceptor", Becomes: AsZone, Trade: "drainage", Kind: "unit", Why: named},
	{Class: "IfcWasteTerminal", Becomes: AsAbove, Trade: "drainage", Kind: "pipe fitting", Why: inTheRoom},
	{Class: "IfcSanitaryTerminal", Becomes: AsDrop, Why: "stands in the room"},
	{Class: "IfcFireSuppressionTerminal", Predefined: "*HYDRANT", Becomes: AsDrop, Why: "stands in the room"},
	{Class: "IfcFireSuppressionTerminal", Predefined: "HOSEREEL", Becomes: AsDrop, Why: "stands in the room"},
	{Class: "IfcFireSuppressionTerminal", Becomes: AsZone, Trade: "sprinklers", Kind: "sprinkler head", Why: named},

	// Cables, and what they feed.
	{Class: "IfcCableCarrierSegment", Predefined: "CABLELADDERSEGMENT", Becomes: AsZone, Trade: "containment", Kind: "ladder", Why: named},
	{Class: "IfcCableCarrierSegment", Predefined: "CABLETRUNKINGSEGMENT", Becomes: AsZone, Trade: "containment", Kind: "trunking", Why: named},
	{Class: "IfcCableCarrierSegment", Predefined: "CONDUITSEGMENT", Becomes: AsZone, Trade: "containment", Kind: "conduit", Why: named},
	{Class: "IfcCableCarrierSegment", Name: "*ladder*", Becomes: AsZone, Trade: "containment", Kind: "ladder", Why: "called a ladder"},
	{Class: "IfcCableCarrierSegment", Name: "*basket*", Becomes: AsZone, Trade: "containment", Kind: "basket", Why: "called a basket"},
	{Class: "IfcCableCarrierSegment", Name: "*trunking*", Becomes: AsZone, Trade: "containment", Kind: "trunking", Why: "called trunking"},
	{Class: "IfcCableCarrierSegment", Name: "*conduit*", Becomes: AsZone, Trade: "containment", Kind: "conduit", Why: "called conduit"},
	{Class: "IfcCableCarrierSegment", Becomes: AsZone, Trade: "containment", Kind: "tray", Why: named},
	{Class: "IfcCableCarrierFitting", Becomes: AsZone, Trade: "containment", Kind: "tray fitting", Why: named},
	{Class: "IfcCableSegment", Predefined: "BUSBARSEGMENT", Becomes: AsZone, Trade: "containment", Kind: "bus bar", Why: named},
	{Class: "IfcCableSegment", Becomes: AsZone, Trade: "containment", Kind: "cable", Why: named},
	{Class: "IfcCableFitting", Becomes: AsZone, Trade: "containment", Kind: "cable", Why: named},
	{Class: "IfcJunctionBox", Becomes: AsAbove, Trade: "containment", Kind: "junction box", Why: inTheRoom},
	{Class: "IfcLightFixture", Name: "*switch*", Becomes: AsDrop, Why: "a switch that is typed as a light"},
	{Class: "IfcLightFixture", Becomes: AsZone, Trade: "lighting", Kind: "light fitting", Why: named},
	{Class: "IfcLamp", Becomes: AsDrop, Why: "in a light fitting"},
	{Class: "IfcSensor", Becomes: AsZone, Trade: "fire alarm", Kind: "detector", Why: named},
	{Class: "IfcAlarm", Becomes: AsAbove, Trade: "fire alarm", Kind: "speaker", Why: inTheRoom},
	{Class: "IfcAudioVisualAppliance", Predefined: "SPEAKER", Becomes: AsZone, Trade: "fire alarm", Kind: "speaker", Why: named},
	{Class: "IfcAudioVisualAppliance", Predefined: "CAMERA", Becomes: AsZone, Trade: "security", Kind: "camera", Why: named},
	{Class: "IfcCommunicationsAppliance", Becomes: AsAbove, Trade: "containment", Kind: "access point", Why: inTheRoom},
	{Class: "IfcOutlet", Becomes: AsAbove, Trade: "containment", Kind: "junction box", Why: inTheRoom},
	{Class: "IfcSwitchingDevice", Becomes: AsAbove, Trade: "electrical", Kind: "junction box", Why: inTheRoom},
	{Class: "IfcElectricAppliance", Becomes: AsAbove, Trade: "electrical", Kind: "unit", Why: inTheRoom},
	{Class: "IfcElectricDistributionBoard", Becomes: AsAbove, Trade: "electrical", Kind: "distribution board", Why: inTheRoom},
	{Class: "IfcElectricDistributionPoint", Becomes: AsAbove, Trade: "electrical", Kind: "distribution board", Why: inTheRoom},
	{Class: "IfcProtectiveDevice", Becomes: AsAbove, Trade: "electrical", Kind: "distribution board", Why: inTheRoom},
	{Class: "IfcUnitaryControlElement", Becomes: AsAbove, Trade: "controls", Kind: "probe", Why: inTheRoom},
	{Class: "IfcController", Becomes: AsAbove, Trade: "controls", Kind: "probe", Why: inTheRoom},
	{Class: "IfcActuator", Becomes: AsZone, Trade: "pipework", Kind: "valve", Why: "it stands on its valve"},
}

// ClassEntries returns a copy of what classes of building models become, in the order in which they are looked through.
func ClassEntries() []ClassEntry { return slices.Clone(modelClasses) }

// SystemEntry says what a predefined type of a system carries. Name, where it is not "", is a pattern of the system's name.
type SystemEntry struct{ Predefined, Service, Trade string }

var modelSystems = []SystemEntry{
	{"EXHAUST", "extract air", ""},
	{"CHILLEDWATER", "chilled water", ""},
	{"CONDENSERWATER", "condenser water", ""},
	{"DOMESTICCOLDWATER", "cold water", ""},
	{"DOMESTICHOTWATER", "hot water", ""},
	{"WATERSUPPLY", "cold water", ""},
	{"HEATING", "LTHW", ""},
	{"REFRIGERATION", "refrigerant", ""},
	{"FIREPROTECTION", "sprinkler water", "sprinklers"},
	{"DRAINAGE", "drain", "drainage"},
	{"SEWAGE", "soil", "drainage"},
	{"WASTEWATER", "waste", "drainage"},
	{"RAINWATER", "rainwater", "drainage"},
	{"STORMWATER", "rainwater", "drainage"},
	{"VENT", "drain vent", "drainage"},
	{"GAS", "gas", ""},
	{"COMPRESSEDAIR", "compressed air", ""},
	{"ELECTRICAL", "power", ""},
	{"POWERGENERATION", "power", ""},
	{"LIGHTING", "lighting", ""},
	{"DATA", "data", ""},
	{"COMMUNICATION", "data", ""},
	{"TELEPHONE", "data", ""},
	{"TV", "audio visual", ""},
	{"AUDIOVISUAL", "audio visual", ""},
	{"SECURITY", "security", ""},
	{"CONTROL", "controls", ""},
	{"EARTHING", "earthing", ""},
	{"LIGHTNINGPROTECTION", "earthing", ""},
}

// SystemEntries returns a copy of what predefined types of systems carry.
func SystemEntries() []SystemEntry { return slices.Clone(modelSystems) }

// systemNames are what systems of building models are often called besides the spellings of services.
var systemNames = map[string]string{
	"hydronic supply": "LTHW", "hydronic return": "LTHW", "other air": "supply air", "ventilation supply": "supply air",
	"domestic hot": "hot water", "domestic cold": "cold water", "fire protection wet": "sprinkler water", "fire protection": "sprinkler water",
	"heating supply": "LTHW", "cooling supply": "chilled water", "cooling return": "chilled water", "cooling flow": "chilled water",
}

// ServiceOfSystem returns what a system of a building model carries, by its name, numbers at its end aside, else by its predefined type; ok is false
// where neither says it. trade is the trade that such a system belongs to, "" where its elements say it themselves.
func ServiceOfSystem(name, predefined string) (service, trade string, ok bool) {
	bare := name
	for {
		if e, found := ServiceWord(bare); found {
			service = e.Word
		} else if s, found := systemNames[fold(bare)]; found {
			service = s
		}
		if service != "" {
			for _, s := range modelSystems {
				if s.Service == service && s.Trade != "" {
					trade = s.Trade
				}
			}
			if e, found := ServiceWord(service); found && (e.Trade == "drainage" || e.Trade == "sprinklers") {
				trade = e.Trade
			}
			return service, trade, true
		}
		// "Supply 1" and "Soil-02" are called by what stands before their number.
		i := len(bare)
		for i > 0 && (bare[i-1] >= '0' && bare[i-1] <= '9') {
			i--
		}
		for i > 0 && (bare[i-1] == ' ' || bare[i-1] == '-' || bare[i-1] == '_' || bare[i-1] == '.') {
			i--
		}
		if i == len(bare) || i == 0 {
			break
		}
		bare = bare[:i]
	}
	for _, s := range modelSystems {
		if s.Predefined == predefined {
			return s.Service, s.Trade, true
		}
	}
	return "", "", false
}

// IsService reports whether a class of a building model, in capitals, is of the services: it becomes a row of a trade that is no structure.
func IsService(class string) bool {
	for _, e := range modelClasses {
		if strings.EqualFold(e.Class, class) {
			t, _ := TradeWord(e.Trade)
			return e.Trade != "" && !slices.Contains(t.Groups, Structure)
		}
	}
	return false
}

// otherClasses are classes that no line of the table names, as ISO 16739 writes them.
var otherClasses = []string{
	"IfcBuildingElementPart", "IfcBuildingElementProxy", "IfcChimney", "IfcCivilElement", "IfcDiscreteAccessory", "IfcDistributionControlElement",
	"IfcDistributionElement", "IfcDistributionFlowElement", "IfcElementAssembly", "IfcEnergyConversionDevice", "IfcFastener", "IfcFlowController",
	"IfcFlowFitting", "IfcFlowMovingDevice", "IfcFlowSegment", "IfcFlowStorageDevice", "IfcFlowTerminal", "IfcFlowTreatmentDevice",
	"IfcFurnishingElement", "IfcFurniture", "IfcMechanicalFastener", "IfcMedicalDevice", "IfcProxy", "IfcShadingDevice", "IfcSystemFurnitureElement",
	"IfcTransportElement",
}

// ClassName writes a class of a building model as ISO 16739 does, of which only the letters are known; one that is not known stays as it is.
func ClassName(class string) string {
	for _, e := range modelClasses {
		if strings.EqualFold(e.Class, class) {
			return e.Class
		}
	}
	for _, c := range otherClasses {
		if strings.EqualFold(c, class) {
			return c
		}
	}
	return class
}
