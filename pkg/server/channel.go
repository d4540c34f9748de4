package server

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// channel is a gRPC connection within the process: the HTTP door calls the
// services over it, through the same interceptor as callers from outside. It
// carries unary calls only.
type channel struct {
	methods     map[string]method
	interceptor grpc.UnaryServerInterceptor
}

type method struct {
	service any
	handler grpc.MethodHandler
}

// register adds a service, as a grpc.ServiceRegistrar does.
func (c *channel) RegisterService(desc *grpc.ServiceDesc, service any) {
	if c.methods == nil {
		c.methods = make(map[string]method)
	}
	for _, m := range desc.Methods {
		c.methods["/"+desc.ServiceName+"/"+m.MethodName] = method{service, m.Handler}
	}
}

// Invoke implements grpc.ClientConnInterface. Caller and service share the
// messages' contents and neither changes what it was given.
func (c *channel) Invoke(ctx context.Context, name string, args, reply any, _ ...grpc.CallOption) error {
	m, ok := c.methods[name]
	if !ok {
		return status.Errorf(codes.Unimplemented, "no call is named %s", name)
	}
	md, _ := metadata.FromOutgoingContext(ctx)
	ctx = metadata.NewIncomingContext(ctx, md)
	out, err := m.handler(m.service, ctx, func(in any) error {
		share(in.(proto.Message).ProtoReflect(), args.(proto.Message).ProtoReflect())
		return nil
	}, c.interceptor)
	if err != nil {
		return err // a status, by the interceptor
	}
	share(reply.(proto.Message).ProtoReflect(), out.(proto.Message).ProtoReflect())
	return nil
}

// NewStream implements grpc.ClientConnInterface.
func (c *channel) NewStream(context.Context, *grpc.StreamDesc, string, ...grpc.CallOption) (grpc.ClientStream, error) {
	return nil, status.Error(codes.Unimplemented, "streams are for gRPC callers")
}

// share sets every field of a message to that of another, without copying what
// it holds.
func share(to, from protoreflect.Message) {
	from.Range(func(fd protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		to.Set(fd, v)
		return true
	})
}
