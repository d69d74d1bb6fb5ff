package server

import (
	"context"
	"fmt"
	"slices"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"
)

// accessService says who may come in.
type accessService struct {
	gaugedv1.UnimplementedAccessServiceServer
	station *station.Station
	guard   *access.Guard
	pairing *access.Pairing // the code that is shown at the bench; nil: no page is served
}

// longestLife is how long a token may hold at most.
const longestLife = 10 * 366 * 24 * time.Hour

func (*accessService) WhoAmI(ctx context.Context, _ *gaugedv1.WhoAmIRequest) (*gaugedv1.WhoAmIResponse, error) {
	c, _ := access.From(ctx)
	return &gaugedv1.WhoAmIResponse{Name: c.Name, Role: message.Role(c.Role), Door: message.Door(c.Door), TokenId: c.Token}, nil
}

func (s *accessService) AddPerson(ctx context.Context, r *gaugedv1.AddPersonRequest) (*gaugedv1.AddPersonResponse, error) {
	p := access.Person{Name: r.GetName(), Role: message.FromRole(r.GetRole())}
	if err := s.hash(&p, r.GetPin(), r.GetBadge()); err != nil {
		return nil, err
	}
	if err := s.station.ChangeAccess(ctx, s.guard.Unlike(p.Name, access.AddPerson(r.GetBy(), p))); err != nil {
		return nil, err
	}
	return &gaugedv1.AddPersonResponse{Person: message.Person(p)}, nil
}

func (s *accessService) ChangePerson(ctx context.Context, r *gaugedv1.ChangePersonRequest) (*gaugedv1.ChangePersonResponse, error) {
	var hashes access.Person // before the station's loop, which waits for nothing
	if err := s.hash(&hashes, r.GetPin(), r.GetBadge()); err != nil {
		return nil, err
	}
	var changed access.Person
	err := s.station.ChangeAccess(ctx, access.ChangePerson(r.GetBy(), r.GetName(), func(p *access.Person) {
		if r.GetRole() != gaugedv1.Role_ROLE_UNSPECIFIED {
			p.Role = message.FromRole(r.GetRole())
		}
		if r.Pin != nil {
			p.PIN = hashes.PIN
		}
		if r.Badge != nil {
			p.Badge = hashes.Badge
		}
		changed = *p
	}))
	if err != nil {
		return nil, err
	}
	return &gaugedv1.ChangePersonResponse{Person: message.Person(changed)}, nil
}

// hash gives a person the hashes of what they know and carry; empty: nothing.
func (s *accessService) hash(p *access.Person, pin, badge string) (err error) {
	if pin != "" {
		if p.PIN, err = access.HashPIN(pin); err != nil {
			return err
		}
	}
	if badge != "" {
		p.Badge, err = s.station.Register().HashBadge(badge)
	}
	return err
}

func (s *accessService) RemovePerson(ctx context.Context, r *gaugedv1.RemovePersonRequest) (*gaugedv1.RemovePersonResponse, error) {
	return &gaugedv1.RemovePersonResponse{}, s.station.ChangeAccess(ctx, access.RemovePerson(r.GetBy(), r.GetName()))
}

func (s *accessService) ListPeople(_ context.Context, r *gaugedv1.ListPeopleRequest) (*gaugedv1.ListPeopleResponse, error) {
	answer := &gaugedv1.ListPeopleResponse{}
	var err error
	answer.People, answer.NextPageToken, err = pageOf(r, s.station.Register().People(), message.Person, func(x access.Person) string { return x.Name })
	return answer, err
}

func (s *accessService) MakeToken(ctx context.Context, r *gaugedv1.MakeTokenRequest) (*gaugedv1.MakeTokenResponse, error) {
	id, secret := access.NewSecret("gauged-token")
	now := s.station.Now()
	t := access.Token{
		ID: id, Name: r.GetName(), Role: message.FromRole(r.GetRole()), Hash: access.HashOf(secret), Expires: r.GetExpireTime().AsTime(),
		Gauges: r.GetGaugeIds(), Sender: r.GetSource(), By: r.GetBy(), Made: now,
	}
	if latest := now.Add(longestLife); t.Expires.After(latest) {
		return nil, gauge.WrongInput("refusal.access.expires-late", gauge.Moment("expires", t.Expires), gauge.Moment("latest", latest))
	}
	if err := s.station.ChangeAccess(ctx, s.guard.Unlike(t.Name, access.MakeToken(r.GetBy(), t))); err != nil {
		return nil, err
	}
	return &gaugedv1.MakeTokenResponse{Token: message.Token(t), Secret: secret}, nil
}

func (s *accessService) RevokeToken(ctx context.Context, r *gaugedv1.RevokeTokenRequest) (*gaugedv1.RevokeTokenResponse, error) {
	return &gaugedv1.RevokeTokenResponse{}, s.station.ChangeAccess(ctx, access.RevokeToken(r.GetBy(), r.GetTokenId()))
}

func (s *accessService) ListTokens(_ context.Context, r *gaugedv1.ListTokensRequest) (*gaugedv1.ListTokensResponse, error) {
	answer := &gaugedv1.ListTokensResponse{}
	var err error
	answer.Tokens, answer.NextPageToken, err = pageOf(r, s.station.Register().Tokens(), message.Token, func(x access.Token) string { return orderKey(x.Made, x.ID) })
	return answer, err
}

func (s *accessService) BeginPairing(_ context.Context, r *gaugedv1.BeginPairingRequest) (*gaugedv1.BeginPairingResponse, error) {
	if s.pairing == nil {
		return nil, gauge.Refused("refusal.access.no-page")
	}
	code, until := s.pairing.Begin(r.GetBy(), s.station.Now())
	return &gaugedv1.BeginPairingResponse{Code: code, ExpireTime: timestamppb.New(until)}, nil
}

func (s *accessService) ListDevices(_ context.Context, r *gaugedv1.ListDevicesRequest) (*gaugedv1.ListDevicesResponse, error) {
	answer := &gaugedv1.ListDevicesResponse{}
	var err error
	answer.Devices, answer.NextPageToken, err = pageOf(r, s.station.Register().Devices(), message.Device, func(x access.Device) string { return orderKey(x.Paired, x.ID) })
	return answer, err
}

func (s *accessService) UnpairDevice(ctx context.Context, r *gaugedv1.UnpairDeviceRequest) (*gaugedv1.UnpairDeviceResponse, error) {
	return &gaugedv1.UnpairDeviceResponse{}, s.station.ChangeAccess(ctx, access.UnpairDevice(r.GetBy(), r.GetDeviceId()))
}

func (s *accessService) ListAccessEntries(ctx context.Context, r *gaugedv1.ListAccessEntriesRequest) (*gaugedv1.ListAccessEntriesResponse, error) {
	entries, next, err := entries(ctx, ofNoGauge{r}, s.station.AccessEntries, message.AccessEntry)
	return &gaugedv1.ListAccessEntriesResponse{Entries: entries, NextPageToken: next}, err
}

// ofNoGauge asks for entries that are not about gauges.
type ofNoGauge struct {
	*gaugedv1.ListAccessEntriesRequest
}

// GetGaugeId names none.
func (ofNoGauge) GetGaugeId() string { return "" }

// orderKey orders by a time, and by an id where the times are equal.
func orderKey(t time.Time, id string) string { return fmt.Sprintf("%020d %s", t.UnixNano(), id) }

// pageOf is one page of a list in the order of its keys.
func pageOf[T any, M proto.Message](r listRequest, all []T, as func(T) M, key func(T) string) (entries []M, next string, err error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, "", err
	}
	all = slices.DeleteFunc(all, func(x T) bool { return key(x) <= p.after })
	entries, next = fill(all, p, as, key)
	return entries, next, nil
}
