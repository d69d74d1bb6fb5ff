package message

import (
	"encoding/json"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/wire"
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
		MakeTime: given(t.Made), By: t.By, GaugeIds: t.Gauges, Source: t.SendsAs(),
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

var accessEvents = []wire.Pair[string, gaugedv1.AccessEvent]{
	wire.Means("", gaugedv1.AccessEvent_ACCESS_EVENT_UNSPECIFIED),
	wire.Means(access.KindPersonAdded, gaugedv1.AccessEvent_ACCESS_EVENT_PERSON_ADDED),
	wire.Means(access.KindPersonChanged, gaugedv1.AccessEvent_ACCESS_EVENT_PERSON_CHANGED),
	wire.Means(access.KindPersonRemoved, gaugedv1.AccessEvent_ACCESS_EVENT_PERSON_REMOVED),
	wire.Means(access.KindTokenMade, gaugedv1.AccessEvent_ACCESS_EVENT_TOKEN_MADE),
	wire.Means(access.KindTokenRevoked, gaugedv1.AccessEvent_ACCESS_EVENT_TOKEN_REVOKED),
	wire.Means(access.KindDevicePaired, gaugedv1.AccessEvent_ACCESS_EVENT_DEVICE_PAIRED),
	wire.Means(access.KindDeviceUnpaired, gaugedv1.AccessEvent_ACCESS_EVENT_DEVICE_UNPAIRED),
	wire.Means(access.KindSenderBound, gaugedv1.AccessEvent_ACCESS_EVENT_SENDER_BOUND),
	wire.Means(access.KindRefused, gaugedv1.AccessEvent_ACCESS_EVENT_REFUSED),
}

// AccessEntry returns a change of who may come in, or that somebody was refused, without
// any secret or hash. Of one that is damaged it is what can be read.
func AccessEntry(f gauge.Fact) *gaugedv1.AccessEntry {
	a := f.Access
	m := &gaugedv1.AccessEntry{Seq: f.Seq, Time: given(a.Time), Event: wire.Contract(accessEvents, a.Kind), By: a.By, Subject: a.Subject}
	var data struct {
		Role  access.Role `json:"role"`
		Name  string      `json:"name"`
		Title string      `json:"title"`
		access.RefusedData
	}
	if json.Unmarshal(a.Data, &data) != nil {
		return m
	}
	m.Role, m.Name = Role(data.Role), data.Name+data.Title
	if a.Kind == access.KindRefused {
		m.Door, m.What, m.Reason, m.Count = string(data.Door), data.What, wire.Message(data.Why()), uint32(data.Count)
	}
	return m
}
