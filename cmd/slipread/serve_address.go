package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strconv"

	"graftslip/cmd/internal/command"
)

// bind returns where to listen. Without --lan only this computer reaches it.
func bind(address string, lan bool) (host, port string, err error) {
	host, port, err = net.SplitHostPort(address)
	if _, wrong := strconv.ParseUint(port, 10, 16); err != nil || wrong != nil {
		return "", "", &command.UsageError{Err: fmt.Errorf("--addr: %q is not an address and port, such as 127.0.0.1:8417", address)}
	}
	own := host == "localhost" || net.ParseIP(host).IsLoopback()
	switch {
	case lan && own:
		return "", port, nil
	case host == "" && !lan:
		return "127.0.0.1", port, nil
	case !own && !lan:
		return "", "", &command.UsageError{Err: &command.HintedError{Err: fmt.Errorf("--addr %s would let other computers reach the page", address),
			Advice: "if you want that, add --lan"}}
	}
	return host, port, nil
}

// reachableHosts lists the hosts at which the page can be reached, the likeliest first.
// Having none is an error.
func reachableHosts(ctx context.Context, host string, lan bool) ([]string, error) {
	ip := net.ParseIP(host)
	switch {
	case host != "" && !ip.IsUnspecified():
		return []string{host}, nil
	case !lan:
		return []string{"127.0.0.1"}, nil
	}
	here, err := addressesHere()
	if err != nil {
		return nil, fmt.Errorf("cannot list the addresses of this computer: %w", err)
	}
	if ip.To4() != nil { // 0.0.0.0 takes no others
		here = slices.DeleteFunc(here, func(each net.IP) bool { return each.To4() == nil })
	}
	hosts := forPhones(here, outboundIP(ctx))
	if len(hosts) == 0 {
		return nil, &command.HintedError{Err: errors.New("this computer has no address at which phones could reach the page"),
			Advice: "connect the computer to the network of the phones and start again; without --lan the page is for this computer alone"}
	}
	return hosts, nil
}

// addressesHere lists the addresses of all interfaces that are up.
func addressesHere() ([]net.IP, error) {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil, err
	}
	var here []net.IP
	for _, each := range interfaces {
		addresses, err := each.Addrs()
		if err != nil || each.Flags&net.FlagUp == 0 {
			continue // it may just have been unplugged
		}
		for _, address := range addresses {
			if network, is := address.(*net.IPNet); is {
				here = append(here, network.IP)
			}
		}
	}
	return here, nil
}

// outboundIP returns the address from which this computer would send to the internet,
// nil without one: its address in the local network, not that of a bridge inside it.
// Nothing is sent, since a UDP socket only chooses its own address; the remote one is
// reserved for documentation (RFC 5737).
func outboundIP(ctx context.Context) net.IP {
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

// forPhones chooses the addresses at which phones can reach this computer: IPv4, or
// IPv6 if there is no other. The outbound one comes first, then private ones.
func forPhones(here []net.IP, outbound net.IP) []string {
	const longer = 3
	rank := func(ip net.IP) int {
		switch {
		case ip.Equal(outbound):
			return 0
		case ip.To4() == nil:
			return longer
		case ip.IsPrivate():
			return 1
		}
		return 2
	}
	here = slices.DeleteFunc(slices.Clone(here), func(ip net.IP) bool { return !ip.IsGlobalUnicast() })
	slices.SortStableFunc(here, func(a, b net.IP) int { return cmp.Compare(rank(a), rank(b)) })
	var hosts []string
	for _, ip := range here {
		if rank(ip) < longer || rank(here[0]) == longer {
			hosts = append(hosts, ip.String())
		}
	}
	return hosts
}
