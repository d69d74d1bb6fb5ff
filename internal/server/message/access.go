package message

import (
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
)

// Role returns a role; the contract numbers them as we do.
func Role(r access.Role) gaugedv1.Role { return gaugedv1.Role(r) }

// FromRole is the reverse of Role; one that is not known here is none.
func FromRole(r gaugedv1.Role) access.Role {
	if r < 0 || int(r) > len(access.RoleWords()) {
		return access.RoleNone
	}
	return access.Role(r)
}

var doors = map[access.Door]gaugedv1.Door{
	access.DoorOpen: gaugedv1.Door_DOOR_OPEN, access.DoorSocket: gaugedv1.Door_DOOR_SOCKET,
	access.DoorToken: gaugedv1.Door_DOOR_TOKEN, access.DoorCertificate: gaugedv1.Door_DOOR_CERTIFICATE,
}

// Door returns by what a caller is known. At a paired device nobody calls.
func Door(d access.Door) gaugedv1.Door { return doors[d] }

// Person returns a person, without the hashes of what they know and carry.
func Person(p access.Person) *gaugedv1.Person {
	return &gaugedv1.Person{Name: p.Name, Role: Role(p.Role), HasPin: p.PIN != "", HasBadge: p.Badge != ""}
}

// Token returns a token, without the hash of its secret.
func Token(t access.Token) *gaugedv1.Token {
	return &gaugedv1.Token{
		TokenId: t.ID, Name: t.Name, Role: Role(t.Role), ExpireTime: timestamppb.New(t.Expires), RevokeTime: given(t.Revoked),
		MakeTime: given(t.Made), By: t.By, GaugeIds: t.Gauges, Source: t.Sender,
	}
}

// Device returns a device, without the hash of its secret.
func Device(d access.Device) *gaugedv1.Device {
	return &gaugedv1.Device{DeviceId: d.ID, Title: d.Title, PairTime: given(d.Paired), By: d.By, UnpairTime: given(d.Unpaired)}
}

// given is a time; nil where there is none.
func given(t time.Time) *timestamppb.Timestamp {
	if t.IsZero() {
		return nil
	}
	return timestamppb.New(t)
}
