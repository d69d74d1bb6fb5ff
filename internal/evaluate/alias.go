package evaluate

import "gauged/internal/evaluate/procedure"

// Words of the shop's language under the names that packages above still call them by;
// they are those of package procedure.
type (
	Bounds     = procedure.Bounds
	Choose     = procedure.Choose
	CodeRow    = procedure.CodeRow
	Constant   = procedure.Constant
	Families   = procedure.Families
	Family     = procedure.Family
	Fitted     = procedure.Fitted
	Grade      = procedure.Grade
	Judge      = procedure.Judge
	Limits     = procedure.Limits
	MovingKind = procedure.MovingKind
	Named      = procedure.Named
	Parts      = procedure.Parts
	Place      = procedure.Place
	Procedure  = procedure.Procedure
	Reading    = procedure.Reading
	Round      = procedure.Round
	Step       = procedure.Step
	UnitError  = procedure.UnitError
	Word       = procedure.Word
)

// See package procedure.
const (
	AimChart       = procedure.AimChart
	AimCode        = procedure.AimCode
	AimPlay        = procedure.AimPlay
	AimTable       = procedure.AimTable
	BorderOutside  = procedure.BorderOutside
	MovingEndStops = procedure.MovingEndStops
	MovingStable   = procedure.MovingStable
	MovingTurn     = procedure.MovingTurn
	NoPart         = procedure.NoPart
	PlayFelt       = procedure.PlayFelt
	PlayTakenUp    = procedure.PlayTakenUp
	TakeLargest    = procedure.TakeLargest
	TakeRange      = procedure.TakeRange
	TakeSmallest   = procedure.TakeSmallest
	ThenReject     = procedure.ThenReject
	Unreadable     = procedure.Unreadable
	WordPreload    = procedure.WordPreload
	WordResult     = procedure.WordResult
)

// See package procedure.
var (
	IsFamily     = procedure.IsFamily
	PieceNames   = procedure.PieceNames
	ReadFamily   = procedure.ReadFamily
	ReadReadings = procedure.ReadReadings
)
