package qif

import "encoding/xml"

// The elements of QIF 3.0 that a job needs, in the order of the schema.

const version = "3.0.0"

type document struct {
	XMLName         xml.Name         `xml:"http://qifstandards.org/xsd/qif3 QIFDocument"`
	Version         string           `xml:"versionQIF,attr"`
	MaxID           int              `xml:"idMax,attr"`
	QPID            string           `xml:"QPId"`
	Header          header           `xml:"Header"`
	Standards       standards        `xml:"StandardsDefinitions"`
	Units           fileUnits        `xml:"FileUnits"`
	Devices         *devices         `xml:"MeasurementResources>MeasurementDevices"`
	Parts           parts            `xml:"Product>PartSet"`
	Characteristics *characteristics `xml:"Characteristics"`
	Results         results          `xml:"Results"`
}

type header struct {
	Application string `xml:"Application>Name"`
	Description string `xml:"Description"`
}

type standards struct {
	N    int        `xml:"n,attr"`
	Each []standard `xml:"Standard"`
}

// standard is what the characteristics are judged against: the procedure.
type standard struct {
	ID           int         `xml:"id,attr"`
	Attributes   *attributes `xml:"Attributes"`
	Organization string      `xml:"Organization>OtherStandardsOrganization"`
	Designator   string      `xml:"Designator"`
	Title        string      `xml:"Title,omitempty"`
}

type fileUnits struct {
	Primary linearUnit   `xml:"PrimaryUnits>LinearUnit"`
	Other   *otherUnits  `xml:"OtherUnits"`
	User    *userDefined `xml:"UserDefinedUnits"`
}

type otherUnits struct {
	N     int          `xml:"n,attr"`
	Units []linearUnit `xml:"LinearUnit"`
}

type linearUnit struct {
	SI     string `xml:"SIUnitName"`
	Name   string `xml:"UnitName"`
	Factor string `xml:"UnitConversion>Factor"`
}

type userDefined struct {
	N     int        `xml:"n,attr"`
	Units []userUnit `xml:"UserDefinedUnit"`
}

type userUnit struct {
	What string `xml:"WhatIsMeasured"`
	Name string `xml:"UnitName"`
}

type devices struct {
	N       int      `xml:"n,attr"`
	Devices []device `xml:"MeasurementDevice"`
}

type device struct {
	ID   int    `xml:"id,attr"`
	Name string `xml:"Name"`
}

type parts struct {
	N     int    `xml:"n,attr"`
	Parts []part `xml:"Part"`
}

type part struct {
	ID         int         `xml:"id,attr"`
	Attributes *attributes `xml:"Attributes"`
	Name       string      `xml:"Header>Name,omitempty"`
	Model      string      `xml:"ModelNumber,omitempty"`
	Nominals   *references `xml:"CharacteristicNominalIds"`
}

type attributes struct {
	N    int         `xml:"n,attr"`
	Each []attribute `xml:"AttributeStr"`
}

type attribute struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type references struct {
	N   int   `xml:"n,attr"`
	IDs []int `xml:"Id"`
}

type characteristics struct {
	Standard    int  `xml:"FormalStandardId"`
	Definitions list `xml:"CharacteristicDefinitions"`
	Nominals    list `xml:"CharacteristicNominals"`
	Items       list `xml:"CharacteristicItems"`
}

// list holds elements whose names differ, as the kinds of characteristics do.
type list struct {
	N    int   `xml:"n,attr"`
	Each []any `xml:",any"`
}

type definition struct {
	XMLName   xml.Name
	ID        int        `xml:"id,attr"`
	Name      string     `xml:"Name"`
	Tolerance *tolerance `xml:"Tolerance"`
	None      string     `xml:"NonTolerance,omitempty"`
	What      string     `xml:"WhatToMeasure,omitempty"`
}

type tolerance struct {
	Max     *value `xml:"MaxValue"`
	Min     *value `xml:"MinValue"`
	AsLimit bool   `xml:"DefinedAsLimit"`
}

type nominal struct {
	XMLName    xml.Name
	ID         int    `xml:"id,attr"`
	Definition int    `xml:"CharacteristicDefinitionId"`
	Name       string `xml:"Name"`
	Pass       *texts `xml:"PassValues"`
	Target     *value `xml:"TargetValue"`
	Max        *value `xml:"MaxValue"`
	Min        *value `xml:"MinValue"`
	AsLimit    *bool  `xml:"DefinedAsLimit"`
}

type texts struct {
	N    int      `xml:"n,attr"`
	Each []string `xml:"StringValue"`
}

type item struct {
	XMLName xml.Name
	ID      int    `xml:"id,attr"`
	Name    string `xml:"Name"`
	Nominal int    `xml:"CharacteristicNominalId"`
}

type measurement struct {
	XMLName    xml.Name
	ID         int         `xml:"id,attr"`
	Attributes *attributes `xml:"Attributes"`
	Status     status      `xml:"Status"`
	Item       int         `xml:"CharacteristicItemId"`
	Component  int         `xml:"ActualComponentId"`
	Devices    *references `xml:"MeasurementDeviceIds"`
	Value      any         `xml:"Value"`
	Max        *value      `xml:"MaxValue"`
	Min        *value      `xml:"MinValue"`
}

type status struct {
	Known string `xml:"CharacteristicStatusEnum,omitempty"`
	Other string `xml:"OtherCharacteristicStatus,omitempty"`
}

// value is a number in a unit: one of length, or one that the document defines.
type value struct {
	LinearUnit  string `xml:"linearUnit,attr,omitempty"`
	UserUnit    string `xml:"unitName,attr,omitempty"`
	Uncertainty string `xml:"combinedUncertainty,attr,omitempty"`
	Number      string `xml:",chardata"`
}

type results struct {
	Set        resultsSet   `xml:"MeasurementResultsSet"`
	Components componentSet `xml:"ActualComponentSets"`
}

type resultsSet struct {
	N    int            `xml:"n,attr"`
	Each []measurements `xml:"MeasurementResults"`
}

type measurements struct {
	ID           int          `xml:"id,attr"`
	Attributes   *attributes  `xml:"Attributes"`
	Traceability traceability `xml:"InspectionTraceability"`
	Measured     *list        `xml:"MeasuredCharacteristics>CharacteristicMeasurements"`
	Status       jobStatus    `xml:"InspectionStatus"`
	Components   references   `xml:"ActualComponentIds"`
}

type jobStatus struct {
	Known string `xml:"InspectionStatusEnum,omitempty"`
	Other string `xml:"OtherInspectionStatus,omitempty"`
}

type traceability struct {
	Order    string `xml:"OrderNumber,omitempty"`
	Report   string `xml:"ReportNumber"`
	Start    string `xml:"InspectionStart,omitempty"`
	End      string `xml:"InspectionEnd,omitempty"`
	Operator string `xml:"InspectionOperator>Name,omitempty"`
}

type componentSet struct {
	N    int          `xml:"n,attr"`
	Sets []components `xml:"ActualComponentSet"`
}

type components struct {
	N    int         `xml:"n,attr"`
	Each []component `xml:"ActualComponent"`
}

type component struct {
	ID         int         `xml:"id,attr"`
	Attributes *attributes `xml:"Attributes"`
	Serial     string      `xml:"SerialNumber,omitempty"`
	Status     jobStatus   `xml:"Status"`
}
