package main

import (
	"errors"
	"fmt"
	"net"
	"slices"

	"graftslip/cmd/internal/command"
)

// reached lists the hosts by which the page is reached, the likeliest first. The
// error is that there is none.
func reached(host string, lan bool) ([]string, error) {
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
	hosts := forPhones(here)
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

// forPhones chooses the addresses of a computer at which phones may reach it: those
// of IPv4, the private ones of houses first, and only without them those of IPv6.
func forPhones(here []net.IP) []string {
	var private, other, longer []string
	for _, ip := range here {
		switch {
		case !ip.IsGlobalUnicast():
		case ip.To4() == nil:
			longer = append(longer, ip.String())
		case ip.IsPrivate():
			private = append(private, ip.String())
		default:
			other = append(other, ip.String())
		}
	}
	if len(private)+len(other) == 0 {
		return longer
	}
	return append(private, other...)
}
