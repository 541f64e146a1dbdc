package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"slices"

	"graftslip/cmd/internal/command"
)

// reached lists the hosts by which the page is reached, the likeliest first. The
// error is that there is none.
func reached(ctx context.Context, host string, lan bool) ([]string, error) {
	ip := net.ParseIP(host)
	switch {
	case host != "" && !ip.IsUnspecified():
		return []string{host}, nil
	case !lan:
		return []string{"127.0.0.1"}, nil
	}
	here, err := addressesHere()
	if err != nil {
		return nil, fmt.Errorf("the addresses of this computer are not known: %w", err)
	}
	if ip.To4() != nil { // 0.0.0.0 takes no others
		here = slices.DeleteFunc(here, func(each net.IP) bool { return each.To4() == nil })
	}
	hosts := forPhones(here, outward(ctx))
	if len(hosts) == 0 {
		return nil, &command.HintedError{Err: errors.New("this computer has no address at which phones could reach the page"),
			Advice: "connect it to the network of the phones, by cable or wireless, and start again; without --lan the page is for this computer alone"}
	}
	return hosts, nil
}

// addressesHere are those of all interfaces that are up.
func addressesHere() ([]net.IP, error) {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil, err
	}
	var here []net.IP
	for _, each := range interfaces {
		addresses, err := each.Addrs()
		if err != nil || each.Flags&net.FlagUp == 0 {
			continue // one may be taken out while it is asked
		}
		for _, address := range addresses {
			if network, is := address.(*net.IPNet); is {
				here = append(here, network.IP)
			}
		}
	}
	return here, nil
}

// outward is the address from which this computer would send to the world, which
// is that of its network and not of some bridge within it; nil where there is none.
// Nothing is sent: a socket for datagrams only chooses its address. The one it is
// for stands for no machine (RFC 5737).
func outward(ctx context.Context) net.IP {
	socket, err := (&net.Dialer{}).DialContext(ctx, "udp4", "192.0.2.1:9")
	if err != nil {
		return nil
	}
	defer socket.Close()
	if own, is := socket.LocalAddr().(*net.UDPAddr); is {
		return own.IP
	}
	return nil
}

// forPhones chooses the addresses of a computer at which phones may reach it: those
// of IPv4, and only without them those of IPv6. The outward one comes first, then
// the private ones of houses.
func forPhones(here []net.IP, outward net.IP) []string {
	var first, private, other, longer []string
	for _, ip := range here {
		switch {
		case !ip.IsGlobalUnicast():
		case ip.Equal(outward):
			first = append(first, ip.String())
		case ip.To4() == nil:
			longer = append(longer, ip.String())
		case ip.IsPrivate():
			private = append(private, ip.String())
		default:
			other = append(other, ip.String())
		}
	}
	if len(first)+len(private)+len(other) == 0 {
		return longer
	}
	return slices.Concat(first, private, other)
}
