package devices

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Several gauges may stand behind one line: a box that writes which of its
// channels a frame is of, or stations on a bus that are asked one by one. The
// definition of each gauge then states its channel, a text such as 2 or B.

// channelMark stands for the channel in a request and in an overrange text.
var channelMark = []byte("{channel}")

const longestChannel = 32

// Channels reports whether the definition of a gauge must state its channel.
func (l *Layout) Channels() bool { return l.channels }

// ChannelInFrame reports whether every frame says which channel it is of.
func (l *Layout) ChannelInFrame() bool {
	return l.groups.channel != 0 || l.bits != nil && l.bits.channel.count > 0 || l.modbus != nil && l.channels
}

// RequestTo returns what the gauge of a channel is asked with; nil when the
// layout does not ask. Without a channel it is that of the first good example.
func (l *Layout) RequestTo(channel string) []byte {
	if channel == "" && l.channels && len(l.good) > 0 {
		channel = l.good[0].value.Channel
	}
	if l.modbus != nil && l.channels {
		return l.modbus.request(stationOf(channel))
	}
	return bytes.ReplaceAll(l.request, channelMark, []byte(channel))
}

// stationOf is the station that a channel is on Modbus; see checkChannel.
func stationOf(channel string) byte {
	n, _ := strconv.ParseUint(channel, 10, 8)
	return byte(n)
}

// checkChannel says why no frame of the layout can be of a channel.
func (l *Layout) checkChannel(channel string) error {
	if channel == "" || len(channel) > longestChannel {
		return gauge.WrongInput("station.channel.long", gauge.Count("most", longestChannel))
	}
	most := uint64(mostStations)
	switch {
	case l.groups.channel != 0:
		e := l.good[0]
		frame, ok := l.replace(e.frame, l.groups.channel, channel)
		if v, err := l.Decode(frame, e.value.Unit); !ok || err != nil || v.Channel != channel {
			return gauge.WrongInput("station.channel.never", gauge.Text("layout", l.Name), shopfile.Quoted("channel", channel))
		}
		return nil
	case l.bits != nil:
		most = 1<<l.bits.channel.count - 1
	case l.modbus == nil:
		if raw, ok := toLatin1(channel); !ok || slices.ContainsFunc(raw, func(b byte) bool { return b < 0x20 || b == 0x7f }) {
			return gauge.WrongInput("station.channel.characters", shopfile.Quoted("channel", channel))
		}
		return nil
	}
	if n, err := strconv.ParseUint(channel, 10, 64); err != nil || n > most || strconv.FormatUint(n, 10) != channel {
		return gauge.WrongInput("station.channel.number", shopfile.Quoted("channel", channel), gauge.Text("layout", l.Name), gauge.Count("most", most))
	}
	return nil
}

// showsOverrange reports whether a frame says that the gauge has no value, and
// for which channel when the frame tells.
func (l *Layout) showsOverrange(frame string) (channel string, found bool) {
	for _, text := range l.overrange {
		before, after, marked := strings.Cut(text, string(channelMark))
		rest, begins := strings.CutPrefix(frame, before)
		middle, ends := strings.CutSuffix(rest, after)
		switch {
		case !marked && frame == text:
			return "", true
		case marked && begins && ends && middle != "" && len(middle) <= longestChannel:
			return middle, true
		}
	}
	return "", false
}

// replace puts another text where a group of match stands in a frame.
func (l *Layout) replace(frame []byte, index int, with string) (replaced []byte, ok bool) {
	text := fromLatin1(frame)
	at := l.whole.FindStringSubmatchIndex(text)
	if at == nil || at[2*index] < 0 {
		return nil, false
	}
	return toLatin1(text[:at[2*index]] + with + text[at[2*index+1]:])
}
